"""glint foretells the light of hand-made mirrored polyhedra before a tile is glued.

scene = glint.load(path); pose = scene.at(degrees=...); then glint.beams(pose), glint.spots(pose),
glint.light(pose) and glint.draw(pose, view=...).
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOME = {
    "load": "glint.rig.scene",
    "beams": "glint.rig.light",
    "spots": "glint.rig.light",
    "light": "glint.rig.light",
    "measure": "glint.study.measure",
    "compare": "glint.report.compare",
    "place": "glint.study.place",
    "draw": "glint.picture.still",
}

__all__ = ["__version__", "beams", "compare", "draw", "light", "load", "measure", "place", "spots"]


def __getattr__(name: str) -> Any:
    """The public functions, imported when first used: `import glint` stays quick."""
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'glint' has no attribute {name!r}")
