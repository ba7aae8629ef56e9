import glint, numpy as np, sys
from glint.rig.string_audit import audit_strings
from glint.rig.scene import build
from glint.scene.read import scene_of
def go(shape, tile, string, ball={}):
    s=build(scene_of({"room":{"radius_m":4.0,"wall_m":0.6},"tile":tile,"ball":[{"shape":shape,"hang":{"height_m":2.4}}|ball],"string":[string]}))
    a=audit_strings(s.at(degrees=20),512)[0]
    print(a, "\n closure", a.closure, "escaped share", s.insides[0].seep.escaped, "glow", sum(a.glow.values()), np.pi*a.radiance*s.insides[0].open_area*s.insides[0].seep.escaped)
go({"base":"icosidodecahedron","steps":[{"do":"raise","sides":5}]},{"seam_mm":3.0},{"leds":4,"led_mm":3.0})
go({"base":"icosahedron","steps":[{"do":"raise","sides":3}]},{"seam_mm":3.0,"corner_cut_mm":4.0,"thickness_mm":1.5},{"leds":4,"led_mm":3.0})
go({"base":"rhombicosidodecahedron","steps":[{"do":"open","sides":5,"count":3},{"do":"raise","sides":5}]},{"seam_mm":0.0},{"leds":4,"led_mm":3.0})
go({"base":"rhombicosidodecahedron","steps":[{"do":"open","sides":5,"count":1},{"do":"raise","sides":5}]},{"hole_mm":5.0},{"leds":3,"led_mm":3.0})
