"""Light in rooms of every kind: nothing is lost at the edges between surfaces."""

from __future__ import annotations

import numpy as np
import pytest

import glint
from glint.errors import SceneError
from glint.lighting.energy_balance import audit
from glint.lighting.illumination import light, spots
from glint.render.still import draw
from glint.scene.build import build
from glint.schema.describe import kind_of, tables_in
from glint.schema.read import scene_of
from glint.schema.tables import SceneFile

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
ROOMS = {
    "bell": {"kind": "bell", "radius_m": 2.5, "wall_m": 0.8},
    "yurt": {"kind": "yurt", "radius_m": 2.5, "wall_m": 0.8, "rise_m": 1.6, "crown_m": 1.4},
    "hall": {"kind": "hall", "length_m": 5.0, "width_m": 4.0, "height_m": 3.0},
    "framed dome": {"radius_m": 3.0, "wall_m": 0.5, "frequency": 3, "open_share": 0.2},
}


def evening(room, **more):
    ball = {"shape": SPIKED, "hang": {"height_m": 1.6, "at_m": [0.1, 0.5]}}
    tables = {"room": room, "ball": [ball], "lamp": [{"at_m": [-1.2, -0.8, 1.1]}], **more}
    return build(scene_of(tables))


def test_every_kind_of_room_is_here_and_its_surfaces_are_named_as_the_scene_file_names_them():
    built = [(room.get("kind", "dome"), evening(room).room) for room in ROOMS.values()]
    field = SceneFile.model_fields["room"]
    tables = {kind_of(one): one for one in tables_in(field.annotation)}
    assert {kind for kind, _ in built} == set(tables)
    for kind, room in built:
        assert tuple(surface.name for surface in room.surfaces) == tables[kind].SURFACES


@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS.keys())
def test_every_lumen_is_found_again(room):
    (row,) = audit(evening(room).at(degrees=7))
    assert abs(row.closure) < 1e-3


@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS.keys())
def test_spots_that_straddle_edges_add_up(room):
    pose = evening(room).at(degrees=7)
    found, _ = glint.beams(pose)
    rows = spots(pose)
    places: dict[tuple, set] = {}
    for row in rows:
        places.setdefault((row.lamp, row.ball, row.tiles), set()).add(row.surface)
    assert any(len(surfaces) > 1 for surfaces in places.values())
    assert sum(row.lumens for row in rows) == pytest.approx(found.lumens.sum(), rel=3e-3)
    maps = light(pose, 700).values()
    landed = sum(float(m.lux[..., 1].sum(dtype=float)) * m.chart.texel_area for m in maps)
    lamp = pose.scene.lamps[0]
    total = sum(sum(r.landed.values()) + sum(r.direct.values()) for r in audit(pose))
    assert landed / lamp.colour[1] == pytest.approx(total, rel=2e-3)


@pytest.mark.parametrize(
    "name, size",
    [("bell", (96, 96)), ("hall", (76, 96)), ("yurt", (96, 96)), ("framed dome", (96, 96))],
)
def test_what_is_overhead_is_drawn(name, size):
    pose = evening(ROOMS[name]).at(degrees=7)
    for view in ("dome", "floor"):
        picture = draw(pose, view, 96)
        assert picture.shape == (*size, 3)
        assert picture.std() > 1.0


def test_an_open_wall_gives_no_light_back():
    pose = evening({**ROOMS["bell"], "open": ["wall"]}).at(degrees=7)
    closed = evening(ROOMS["bell"]).at(degrees=7)
    dark, bright = light(pose, 200)["roof"].ambient, light(closed, 200)["roof"].ambient
    assert (dark < bright).all()
    assert np.array_equal(light(pose, 200)["roof"].lux, light(closed, 200)["roof"].lux)
    assert not light(pose, 200)["wall"].lux.any()


def test_a_ball_through_the_pole_is_refused():
    ball = {"shape": SPIKED, "hang": {"at_m": [0.02, 0.0], "height_m": 1.6}}
    with pytest.raises(SceneError, match=r"\[\[ball\]\] 1 hang.at_m.*beside"):
        evening(ROOMS["bell"], ball=[ball])
    # Left to itself it hangs beside.
    assert build(scene_of({"room": ROOMS["bell"], "ball": [{"shape": SPIKED}]})).balls[0].centre[1]


@pytest.mark.parametrize("pole", [40.0, 200.0])
def test_a_ball_keeps_its_radius_clear_of_the_poles_side(pole):
    room = {**ROOMS["bell"], "pole_mm": pole}

    def hung(away):
        return evening(room, ball=[{"shape": SPIKED, "hang": {"at_m": [away, 0.0]}}]).balls[0]

    touching = hung(1.0).body.radius + 0.5e-3 * pole
    hung(touching + 1e-4)
    with pytest.raises(SceneError, match="beside"):
        hung(touching - 1e-4)
