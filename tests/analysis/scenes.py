"""Small scenes that several tests measure."""

from __future__ import annotations

from typing import Any

from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def evening(**tables: Any) -> Scene:
    """A spiked ball in a small dome, and whatever else is given."""
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": [{"shape": SPIKED}], **tables}))
