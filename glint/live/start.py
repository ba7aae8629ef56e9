"""The scene that a page begins with."""

from __future__ import annotations

from pathlib import Path

from glint.scene.build import build, load
from glint.scene.scene import Scene
from glint.schema.read import scene_of

FIRST = {
    "title": "A first evening",
    "room": {"kind": "dome", "radius_m": 4.0},
    "ball": [
        {
            "name": "spiked twenty",
            "shape": {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]},
        }
    ],
    "lamp": [{"at_m": [3.0, 0.0, 1.6], "beam_deg": 6.0}],
}
"""What there is where no scene is named: one ball, one lamp."""


def first_scene(path: Path | None) -> Scene:
    """The scene of a file, or a first one, which is not saved anywhere yet. Raises SceneError."""
    return build(scene_of(FIRST, Path("evening.toml"))) if path is None else load(path)
