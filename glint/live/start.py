"""The scene that a page begins with."""

from __future__ import annotations

from pathlib import Path

from glint.live.folder import Folder
from glint.live.session.journal import Journal
from glint.live.session.session import Session
from glint.live.studio import Studio
from glint.scene.build import build
from glint.schema.read import read_scene, scene_of

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


def studio_of(path: Path | None) -> Studio:
    """What serves the scene of a file, or a first one, which is not saved anywhere yet.

    Raises SceneError.
    """
    folder = Folder(Path() if path is None else path.parent)
    place = folder.root / ("evening.toml" if path is None else path.name)
    if path is None:
        scene = build(scene_of(FIRST, place))
    else:
        file = read_scene(path)
        scene = build(scene_of(file.tables or {}, place, file.text))
    return Studio(Session(scene, Journal(place), is_file=path is not None), folder)
