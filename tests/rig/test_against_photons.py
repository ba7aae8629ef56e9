"""glint's figures against photons thrown one by one through the same panels and tiles.

The photon tracer shares no code with glint: it is given corners, a lamp's candela, and a room.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import glint
from glint.rig.audit import audit
from tests.judge import DomeMap, Geometry, Lamp, Room, rms_error, trace

SCENES = Path(__file__).parents[2] / "scenes"
PHOTONS = 1_500_000


def soup(polygons, chosen):
    """Triangles of some polygons, each polygon's together and with corners of its own."""
    vertices, faces = [], []
    for i in np.flatnonzero(chosen):
        first, sides = len(vertices), int(polygons.sides[i])
        vertices.extend(polygons.corners[i, :sides])
        faces.extend([first, first + k, first + k + 1] for k in range(1, sides - 1))
    return np.array(vertices), np.array(faces)


def judged(scene, pose, sinks=()):
    polygons = pose.polygons
    geometry = Geometry(soup(polygons, polygons.mirror), soup(polygons, ~polygons.mirror))
    table = scene.file.lamp[0]
    beam, field = math.radians(table.beam_deg), math.radians(table.field_deg)
    power = math.log(math.log(10) / math.log(2)) / math.log(field / beam)
    lamp = Lamp(
        scene.lamps[0].position,
        scene.lamps[0].frame[2],
        table.lens_mm / 2000,
        lambda gamma: table.peak_cd * np.exp(-math.log(2) * (2 * gamma / beam) ** power),
        reach=min(0.5 * beam * (math.log(1e6) / math.log(2)) ** (1 / power), math.pi / 2),
    )
    room = scene.file.room
    return trace(
        geometry,
        lamp,
        Room(room.radius_m, room.rise_m, room.wall_m),
        PHOTONS,
        aim=geometry.bounds(),
        reflectance=scene.file.tile.reflectance,
        sinks=sinks,
        draws="sobol",
    )


@pytest.mark.parametrize("name", ["spiked-twenty", "lantern", "yardstick", "hedgehog"])
def test_lumens_by_fate_and_by_bounce_are_those_of_photons(name):
    scene = glint.load(SCENES / f"{name}.toml")
    pose = scene.at(degrees=10)
    found, _ = glint.beams(pose)
    tally = judged(scene, pose)
    mine = found.lamp == 0
    lumens = found.lumens[mine]
    total = lumens.sum()
    seen = sum(estimate.lumens for estimate in tally.landed[1:])
    assert total == pytest.approx(seen, rel=3e-3)
    for k in range(1, 5):
        exact = lumens[found.bounces[mine] == k].sum()
        assert exact == pytest.approx(tally.landed[k].lumens, abs=0.01 * total)
    row = audit(pose)[0]
    assert row.absorbed == pytest.approx(tally.absorbed.lumens, rel=3e-3)
    # The slits between the rims of tiles and their panels are open to photons.
    assert row.caught == pytest.approx(tally.caught.lumens, rel=1e-2, abs=3e-3 * row.lumens)


def test_the_light_map_is_that_of_photons():
    scene = glint.load(SCENES / "yardstick.toml")
    pose = scene.at(degrees=10)
    room = scene.file.room
    sink = DomeMap(Room(room.radius_m, room.rise_m, room.wall_m), 128)
    judged(scene, pose, (sink,))
    from glint.optics.lightmap import add_beams
    from glint.rig.survey import chart_of

    chart = chart_of(scene.room.surfaces[0], 512)
    lux = np.zeros((512, 512, 3), np.float32)
    found, _ = glint.beams(pose)
    add_beams(found, scene.lamp_arrays, chart, lux)
    grey = lux[..., 1].astype(float) / scene.lamps[0].colour[1]
    coarse = grey.reshape(128, 4, 128, 4).mean(axis=(1, 3))
    # About 2,000 photons a lit texel leave a noise of two to three per cent.
    assert rms_error(sink.lux(), coarse) < 0.05
