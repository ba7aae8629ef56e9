"""glint works out the light of hand-made mirrored polyhedra before a tile is glued.

An evening is read from a file, or made in Python of the same tables, with the same keys:

    scene = glint.load("scenes/orchard.toml")
    scene = glint.Scene(
        room=glint.Dome(radius_m=4.0),
        balls=[glint.Ball(shape=glint.Shape(base="icosahedron"))],
        lamps=[glint.Lamp(at_m=(3.0, 0.0, 1.6), beam_deg=6.0)],
    )
    glint.Dome, Bell, Hall               rooms, a class for each kind
    glint.Ball(shape=Shape(...), tile=Tile(...), hang=Hang(...), motion=Motion(...))
    glint.Shape(base=..., steps=[Step(...)]), Shape(mesh=...), Shape.from_vertices(corners, faces)
    glint.Lamp, LedString, Eye, Optics, Workshop

A scene never changes. An edited copy, checked like a file, and a file again:

    lower = scene.with_({"ball[0].hang.height_m": 2.0, "lamp[0].at_m": (3.0, 0.0, 2.0)})
    text = lower.to_toml()

`pose = scene.at(degrees=15.0)`, or `scene.at(seconds=2.5)`, is one instant of it. Of a pose there
are

    glint.beams(pose)                    every beam that leaves a ball, and what became of the rest
    glint.spots(pose)                    a row for every spot that it lights
    glint.light(pose)                    light maps: illuminance on every surface, by name
    glint.audit(pose)                    where every lumen of each lamp went
    glint.draw(pose, view="dome")        a picture, (h, w, 3) uint8
    glint.export(pose, "quince.glb")     mirrors, panels and room for other programs

and of a scene, which turns,

    glint.measure(scene)                 what its light is like, on average over a turn
    glint.long_exposure(scene)           light maps of a whole turn, the mean
    glint.loop(scene, "evening.mp4")     a film of one period, without a visible join
    glint.compare([scene, lower])        several scenes side by side
    glint.place(scene)                   the best numbers for what its [[free]] tables leave free

`glint.table(...)` makes columns of spots, beams or measures, as data frames and CSV take them.
`glint.catalogue()` lists the shapes. Lengths are metres, light is lumens and lux, linear RGB. What
a user can put right is raised as a `glint.GlintError`, whose text is one clear line a problem.
"""

from importlib import import_module

from glint.version import VERSION

# Neither `typing` nor `__future__` is imported: with `python -m glint` they would be looked for
# in the current folder, which `__main__.py` takes off the path.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from glint.analysis.columns import table
    from glint.analysis.measure import measure
    from glint.build.export import export
    from glint.errors import GlintError
    from glint.lighting.energy_balance import audit
    from glint.lighting.illumination import beams, light, spots
    from glint.lighting.long_exposure import long_exposure
    from glint.render.loop import loop
    from glint.render.still import draw
    from glint.report.compare import compare
    from glint.scene.build import load
    from glint.scene.scene import Pose, Scene
    from glint.schema.constructors import (
        Ball,
        Eye,
        Hang,
        Lamp,
        LedString,
        Motion,
        Optics,
        Shape,
        Tile,
        Workshop,
    )
    from glint.search.optimize import place
    from glint.shape.catalogue import catalogue

    Dome = Bell = Hall = Yurt = Raise = Split = Spike = Cap = Open = Any

__version__ = VERSION

_TABLES = "glint.schema.constructors"
_HOME = {
    "Ball": _TABLES,
    "Eye": _TABLES,
    "GlintError": "glint.errors",
    "Hang": _TABLES,
    "Lamp": _TABLES,
    "LedString": _TABLES,
    "Motion": _TABLES,
    "Optics": _TABLES,
    "Pose": "glint.scene.scene",
    "Scene": "glint.scene.scene",
    "Shape": _TABLES,
    "Tile": _TABLES,
    "Workshop": _TABLES,
    "audit": "glint.lighting.energy_balance",
    "beams": "glint.lighting.illumination",
    "catalogue": "glint.shape.catalogue",
    "compare": "glint.report.compare",
    "draw": "glint.render.still",
    "export": "glint.build.export",
    "light": "glint.lighting.illumination",
    "load": "glint.scene.build",
    "long_exposure": "glint.lighting.long_exposure",
    "loop": "glint.render.loop",
    "measure": "glint.analysis.measure",
    "place": "glint.search.optimize",
    "spots": "glint.lighting.illumination",
    "table": "glint.analysis.columns",
}

__all__ = [
    "Ball",
    "Bell",
    "Cap",
    "Dome",
    "Eye",
    "GlintError",
    "Hall",
    "Hang",
    "Lamp",
    "LedString",
    "Motion",
    "Open",
    "Optics",
    "Pose",
    "Raise",
    "Scene",
    "Shape",
    "Spike",
    "Split",
    "Tile",
    "Workshop",
    "Yurt",
    "__version__",
    "audit",
    "beams",
    "catalogue",
    "compare",
    "draw",
    "export",
    "light",
    "load",
    "long_exposure",
    "loop",
    "measure",
    "place",
    "spots",
    "table",
]


def __getattr__(name: str) -> "Any":
    """The public names, imported when first used: `import glint` stays quick.

    Rooms and steps are looked for among the kinds that a file may have, so a new one is here at
    once.
    """
    if name in _HOME:
        found = getattr(import_module(_HOME[name]), name)
    elif name[:1].isupper() and name in (kinds := import_module(_TABLES).KINDS):
        found = kinds[name]
    else:
        raise AttributeError(f"module 'glint' has no attribute {name!r}")
    if _HOME.get(name, "").startswith("glint.scene"):
        import_module("glint.scene.display").draw_with(_png)
    globals()[name] = found
    return found


def _png(pose: "Pose") -> bytes:
    return import_module("glint.render.display").png(pose)


def __dir__() -> list[str]:
    return __all__
