"""Small scenes that between them touch every kind of value and every kind of kernel."""

from __future__ import annotations

EVERYTHING = """
title = "Quince Night: a smoke test"

[room]
radius_m = 3.0
wall_m = 0.4
frequency = 3
tube_mm = 30.0
fabric_colour = "#fff4e2"
ambient_lux = 0.01
haze_per_m = 0.01

[tile]
edge_mm = 60.0
panel_edge_mm = 76.0
corner_cut_mm = 5.0
panel_colour = "#402018"

[[ball]]
name = "lantern"
shape = { base = "cuboctahedron", steps = [{ do = "raise", sides = 4 }] }
hang = { height_m = 2.0, at_m = [0.1, -0.2] }
motion = { rpm = 15.0 }

[[lamp]]
at_m = [2.0, -0.5, 1.0]
aim = [0.1, -0.2, 2.0]
beam_deg = 9.0
colour = "#ff9f6b"

[[string]]
led_lumens = 6.0
led_mm = 3.0
lay = "points"
points_mm = [[10.0, 0.0, 0.0], [0.0, 10.0, 5.0], [-10.0, 0.0, 0.0]]
colour = ["#ffb066", "#ff7a4d", "#ffd9a0"]
twinkle_s = 2.0

[eye]
at_m = [0.2, -2.4, 1.3]
look_m = [0.0, 0.2, 2.0]
fov_deg = 90
"""

PLAIN = """
title = "Quince Night: the smallest of all"

[room]
radius_m = 2.0

[tile]
thickness_mm = 1.0

[[ball]]
name = "quince"
shape = { base = "octahedron" }
hang = { height_m = 1.2 }
motion = { rpm = 15.0 }

[[lamp]]
name = "stand"
at_m = [1.5, 0.0, 0.6]
beam_deg = 9.0
"""

CANDIDATES = (
    PLAIN
    + """
[[candidate]]
name = "eight"
shape = { base = "octahedron" }

[[candidate]]
name = "ring-laid"
shape = { base = "rings", diameter_m = 0.15 }
"""
)

PLACE = (
    PLAIN
    + """
[[free]]
ball = "quince"
key = "height_m"
least = 0.9
most = 1.6

[[free]]
lamp = "stand"
key = "z_m"
least = 0.3
most = 0.9

[goal]
spots = 1.0
evenness = 1.0
clearance_m = 0.5
"""
)
