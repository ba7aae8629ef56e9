"""The figure by which shapes are compared: how many spots one throws in a fixed room.

The reference is one dome of 4 m radius, 0.3 lx of ambient light, with one lamp of 20,000 cd, 6°
wide, at [3, 0, 1.6] m, aimed at the ball, which hangs by a corner in the middle, 2.4 m up, with
tiles of 25 mm on panels of 32 mm. Visible spots are counted as everywhere in glint (see
`glint.lighting.visibility`). The figure is the mean over three poses, evenly spread over one
symmetry period of the turn, rounded to a whole number.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Sequence

from glint.shape.catalogue import Entry

POSES = 3
"""Instants of one symmetry period that the figure is the mean of."""

SCENE = """
title = "the reference"

[room]
radius_m = 4.0
ambient_lux = 0.3

[[ball]]
name = "ball"
hang = { height_m = 2.4, by = "vertex" }
shape = { BASE, steps = STEPS }

[[lamp]]
at_m = [3.0, 0.0, 1.6]
aim = "ball"
beam_deg = 6.0
field_deg = 10.2
peak_cd = 20000.0
lens_mm = 60.0
"""


def visible_spots(
    entries: Sequence[Entry], tell: Callable[[int, int], None] = lambda done, total: None
) -> list[int]:
    """The figure of each shape; tell(done, total) is called after each."""
    figures = []
    for done, entry in enumerate(entries, start=1):
        figures.append(_visible_spots(entry))
        tell(done, len(entries))
    return figures


def _visible_spots(entry: Entry) -> int:
    from glint.lighting.illumination import beams
    from glint.lighting.spots import spots_of
    from glint.lighting.visibility import quick_ambient, visible
    from glint.scene.build import build
    from glint.schema.read import scene_of

    base = f'base = "{entry.base}"'
    if entry.sides is not None:
        base += f", sides = {entry.sides}"
    text = SCENE.replace("BASE", base).replace("STEPS", entry.steps)
    scene = build(scene_of(tomllib.loads(text)))
    period = 360.0 / scene.balls[0].body.symmetry
    poses = [scene.at(degrees=period * number / POSES) for number in range(POSES)]
    ambient = quick_ambient(poses[0])
    seen = sum(len(visible(scene, spots_of(p, beams(p)[0]), ambient).peak) for p in poses)
    return math.floor(seen / POSES + 0.5)
