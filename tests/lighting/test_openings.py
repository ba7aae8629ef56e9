"""Light that falls on openings of the room leaves: maps, data files and the balance say so."""

from __future__ import annotations

import numpy as np
import pytest

import glint
from glint.lighting.energy_balance import audit
from glint.lighting.openings import open_texels
from glint.lighting.strings.balance import audit_strings
from glint.lighting.visibility import ambient_of
from glint.render.npz import write_data
from glint.room.dome import dome

SMALL = {"shape": {"base": "rings", "diameter_m": 0.05}, "tile": {"edge_mm": 8.0}}
EVEN = """\
IESNA:LM-63-2002
[TEST] computed
[MANUFAC] none
TILT=NONE
1 -1 1 3 1 1 2 0.01 0 0
1 1 1
0 45 90
0
100 100 100
"""
"""100 cd all over a hemisphere."""


def evening(open_share: float, **more) -> glint.Scene:
    room = {"radius_m": 3.0, "wall_m": 0.5, "frequency": 3, "open_share": open_share}
    lamp = {"at_m": [2.0, 0.0, 1.2], "beam_deg": 40.0}
    ball = {"shape": {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}}
    return glint.Scene(room=room | more, balls=[ball], lamps=[lamp])


def seed_of_two_at_the_top() -> int:
    """A seed that opens two of the five triangles about the top of an icosahedron's hemisphere."""
    for seed in range(200):
        one = dome(4.0, 4.0, 0.0, np.ones(3), np.ones(3), 0.0, 1, 0.001, 0.2, seed).frame
        assert one is not None
        if (one.bare.sum(), (one.bare & (one.centres[:, 2] > 0.7)).sum()) == (2, 2):
            return seed
    raise AssertionError("no such seed")


def test_of_even_light_the_open_share_of_the_solid_angle_is_lost(tmp_path):
    """Each face of an icosahedron is a twentieth of the sphere, a tenth of the hemisphere: of light
    that is as strong in every direction, from the sphere's centre, two of them let out a fifth."""
    (tmp_path / "even.ies").write_text(EVEN)
    room = {"radius_m": 4.0, "frequency": 1, "tube_mm": 1.0, "open_share": 0.2}
    room["seed"] = seed_of_two_at_the_top()
    lamp = {"at_m": [0.0, 0.0, 0.001], "aim": [0.0, 0.0, 3.0], "file": "even.ies", "lens_mm": 1.0}
    hung = SMALL | {"hang": {"height_m": 3.5, "at_m": [0.8, 0.0]}}
    scene = glint.Scene(room=room, balls=[hung], lamps=[lamp], folder=tmp_path)
    (row,) = audit(scene.at(degrees=0.0))
    assert row.lumens == pytest.approx(200.0 * np.pi, rel=1e-3)
    assert row.left == pytest.approx(0.2 * row.lumens, rel=4e-3)
    assert row.direct["dome"] == pytest.approx(0.8 * row.lumens, rel=2e-3)
    assert abs(row.closure) < 1e-3


@pytest.mark.parametrize("share", [0.3, 0.95])
def test_what_leaves_is_what_a_closed_dome_would_have_caught(share):
    closed, holed = (audit(evening(one).at(degrees=5.0), 512)[0] for one in (0.0, share))
    assert closed.left == 0.0
    assert holed.closure == pytest.approx(closed.closure, abs=1e-9)
    caught = sum(row["dome"] for row in (closed.landed, closed.direct))
    kept = sum(row["dome"] for row in (holed.landed, holed.direct))
    assert holed.left == pytest.approx(caught - kept, rel=1e-6)
    assert holed.direct["floor"] == closed.direct["floor"]
    assert 0.0 < holed.left < caught


def test_maps_are_dark_where_light_leaves():
    maps = [glint.light(evening(one).at(degrees=5.0), 512)["dome"] for one in (0.0, 0.3)]
    closed, holed = maps
    assert closed.open is None and holed.open is not None
    assert not holed.lux[holed.open].any()
    assert (holed.lux[~holed.open] == closed.lux[~holed.open]).all()
    assert 0.2 < holed.open.sum() / holed.inside.sum() < 0.3
    assert holed.ambient.max() < closed.ambient.max()
    exposed = glint.long_exposure(evening(0.3), 256, count=4)["dome"]
    assert exposed.open is not None and not exposed.lux[exposed.open].any()


def test_openings_lie_between_the_struts():
    """The narrower opening of thick struts, by the width of half a strut along each side."""
    areas = []
    for tube in (1.0, 101.0):
        scene = evening(0.9, tube_mm=tube)
        cap = scene.room.surfaces[0]
        found = open_texels(scene, cap, 1024)
        assert found is not None
        areas.append(found.sum() / glint.light(scene.at(degrees=0.0), 1024)["dome"].inside.sum())
    # An equilateral triangle of edge a has an inradius of a / (2 sqrt 3), and 50 mm less of it.
    # Edges of an evenly split icosahedron's face are about 0.40 radii long (from memory).
    inradius = 3.0 * 0.40 / (2.0 * np.sqrt(3.0))
    assert areas[1] / areas[0] == pytest.approx((1.0 - 0.05 / inradius) ** 2, rel=0.05)


def test_a_surface_that_is_open_loses_its_light_too():
    pose = evening(0.0, open=["wall"], reflectance=0.5).at(degrees=3.0)
    (row,) = audit(pose, 256)
    assert row.landed["wall"] == row.direct["wall"] == 0.0 and row.left > 0.0
    assert not glint.light(pose, 256)["wall"].lux.any()


def test_the_room_is_darker_for_its_openings():
    ambient = []
    for share in (0.0, 0.3, 1.0):
        scene = evening(share)
        ambient.append(ambient_of(scene, audit(scene.at(degrees=0.0), 256)))
    assert ambient[0] > 1.2 * ambient[1] > 1.2 * ambient[2]


def test_light_of_strings_leaves_as_well():
    steps = [{"do": "open", "sides": 5}, {"do": "raise", "sides": 5}]
    ball = {"shape": {"base": "icosidodecahedron", "steps": steps}, "tile": {"seam_mm": 1.0}}
    rows = []
    for share in (0.0, 0.4):
        room = {"radius_m": 3.0, "frequency": 3, "open_share": share}
        scene = glint.Scene(room=room, balls=[ball], strings=[{"leds": 3, "bundle_mm": 20.0}])
        rows += audit_strings(scene.at(degrees=0.0), 256)
    closed, holed = rows
    assert closed.left == 0.0 and holed.left > 0.0
    assert holed.out == pytest.approx(closed.out, rel=1e-6)
    assert holed.landed["dome"] < closed.landed["dome"]


def test_the_data_file_has_the_openings_as_a_mask(tmp_path):
    write_data(tmp_path / "d.npz", glint.light(evening(0.3).at(degrees=5.0), 128))
    with np.load(tmp_path / "d.npz") as data:
        mask = data["dome_open"]
        assert mask.dtype == bool and mask.any() and not data["dome_lux"][mask].any()
        assert data["dome_lux"][~mask & (data["dome_area"] > 0)].all()
        assert not data["floor_open"].any()
