"""glint foretells the light of hand-made mirrored polyhedra before a tile is glued.

A scene is read and built with `scene = glint.load(path)`. `pose = scene.at(degrees=15.0)`, or
`scene.at(seconds=2.5)`, is one instant of it. Of a pose there are

    glint.beams(pose)                    every beam that leaves a ball, and what became of the rest
    glint.spots(pose)                    a row for every spot that it lights
    glint.light(pose)                    light maps: illuminance on every surface, by name
    glint.audit(pose)                    where every lumen of each lamp went
    glint.draw(pose, view="dome")        a picture, (h, w, 3) uint8
    glint.export(pose, "quince.glb")     mirrors, panels and room for other programs

and of a scene, which turns,

    glint.long_exposure(scene)           light maps of a whole turn, the mean
    glint.loop(scene, "evening.mp4")     a film of one period, without a visible join

`glint.catalogue()` lists the shapes. Lengths are metres, light is lumens and lux, linear RGB. What
a user can put right is raised as a `glint.GlintError`, whose text is one clear line a problem.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from glint.version import VERSION

if TYPE_CHECKING:
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
    from glint.search.optimize import place
    from glint.shape.catalogue import catalogue

__version__ = VERSION

__all__ = [
    "GlintError",
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
]

_HOME = {
    "GlintError": "glint.errors",
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
}


def __getattr__(name: str) -> Any:
    """The public functions, imported when first used: `import glint` stays quick."""
    if name in _HOME:
        found = globals()[name] = getattr(import_module(_HOME[name]), name)
        return found
    raise AttributeError(f"module 'glint' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
