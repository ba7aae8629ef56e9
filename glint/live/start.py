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
    "room": {
        "kind": "dome",
        "radius_m": 3.5,
        "wall_m": 0.6,
        "rise_m": 2.9,
        "reflectance": 0.65,
        "fabric_colour": "#fff0d8",
        "floor_colour": "#b98d5f",
        "ambient_lux": 0.1,
    },
    "tile": {"edge_mm": 50.0, "panel_edge_mm": 58.0},
    "ball": [
        {
            "name": "first ball",
            "shape": {
                "base": "rhombicosidodecahedron",
                "steps": [{"do": "raise", "sides": 4}, {"do": "raise", "sides": 5}],
            },
            "hang": {"height_m": 2.1},
            "motion": {"rpm": 1.0},
        }
    ],
    "lamp": [
        {"name": "warm lamp", "at_m": [2.3, -1.2, 0.6], "beam_deg": 5.0, "kelvin": 2700.0},
        {"name": "cool lamp", "at_m": [-2.2, 1.5, 0.5], "beam_deg": 5.0, "kelvin": 5600.0},
    ],
    "eye": {"at_m": [-0.6, -2.8, 1.1], "look_m": [0.1, 0.4, 2.1], "fov_deg": 84.0},
}
"""What there is where no scene is named: a ball of 200 tiles in the light of two lamps."""


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
