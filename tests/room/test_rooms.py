"""Rooms of every kind: areas, closed surfaces, orientation, openings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.surfaces.equal_area import points
from glint.kernels.surfaces.ray_cast import cast_all
from glint.room.bell import bell
from glint.room.charts import chart_of
from glint.room.dome import dome
from glint.room.geodesic_frame import Frame
from glint.room.hall import hall
from glint.room.yurt import yurt

GREY = np.full(3, 0.5)
ROOMS = {
    "half sphere": dome(4.0, 4.0, 0.0, GREY, GREY, 0.3),
    "dome on a wall": dome(4.0, 2.5, 1.5, GREY, GREY, 0.3),
    "half sphere on a wall": dome(3.0, 3.0, 1.0, GREY, GREY, 0.3),
    "bell": bell(2.5, 2.4, 0.6, 0.06, GREY, GREY, 0.3),
    "bell without a wall": bell(3.0, 5.0, 0.0, 0.0, GREY, GREY, 0.3),
    "hall": hall(9.0, 6.0, 3.5, GREY, GREY, 0.3),
    "yurt": yurt(3.0, 1.5, 1.4, 1.2, GREY, GREY, 0.3),
    "steep yurt without a wall": yurt(3.0, 3.0, 0.0, 3.0, GREY, GREY, 0.3),
    "yurt with a small crown": yurt(3.0, 0.6, 1.4, 0.3, GREY, GREY, 0.3),
}
AREAS = {
    # Cap 2 pi R h, cone pi r l, cylinder 2 pi r h (Archimedes; any table of mensuration).
    "bell": [math.pi * 2.5 * math.hypot(2.5, 2.4), 2 * math.pi * 2.5 * 0.6, math.pi * 2.5**2],
    "hall": [54.0, 21.0, 31.5, 21.0, 31.5, 54.0],
    "half sphere": [32 * math.pi, 16 * math.pi],
    # A frustum: pi (r1 + r2) s, s its slant height.
    "yurt": [
        math.pi * 3.6 * math.hypot(2.4, 1.5),
        math.pi * 0.36,
        2 * math.pi * 3.0 * 1.4,
        math.pi * 9.0,
    ],
}
EVERY = pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS.keys())


def arrays(room):
    kinds = np.array([s.kind for s in room.surfaces], np.int64)
    return kinds, np.array([s.form for s in room.surfaces])


@pytest.mark.parametrize("name", AREAS)
def test_areas_are_those_of_the_solids(name):
    assert [s.area for s in ROOMS[name].surfaces] == pytest.approx(AREAS[name])


@EVERY
def test_texels_share_out_the_area_evenly(room):
    for surface in room.surfaces:
        chart = chart_of(surface, 400)
        inside, found = points(chart.kind, chart.size, chart.place, chart.form)
        # A crown has few texels of its roof's across.
        close = 3e-3 if max(chart.size) >= 200 else 1e-2
        assert inside.sum() * chart.texel_area == pytest.approx(surface.area, rel=close)
        # Each texel by itself: the cross product of the steps to its neighbours.
        right = (found[1:-1, 2:] - found[1:-1, :-2]) / 2
        down = (found[2:, 1:-1] - found[:-2, 1:-1]) / 2
        area = np.linalg.norm(np.cross(right, down), axis=-1)
        whole = inside[1:-1, 1:-1] & inside[2:, 2:] & inside[:-2, :-2]
        if surface.name in ("dome", "roof"):
            whole &= np.hypot(found[1:-1, 1:-1, 0], found[1:-1, 1:-1, 1]) > 0.2
        assert area[whole] == pytest.approx(chart.texel_area, rel=2e-3)


@EVERY
def test_a_ray_from_anywhere_inside_ends_on_exactly_one_surface(room):
    draw = np.random.default_rng(3)
    place = draw.uniform(-1, 1, (60000, 3)) * [4.5, 4.5, room.height]
    place = place[[room.clearance(p) > 1e-6 for p in place]]
    assert len(place) > 2000
    way = draw.normal(size=place.shape)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    kinds, forms = arrays(room)
    surface, found, spot = cast_all(kinds, forms, place, way)
    assert set(surface) == set(range(len(room.surfaces)))
    # On its own surface, inside of or on all others, and ahead.
    free = np.array([[s.clearance(p) for s in room.surfaces] for p in found[:4000]])
    assert free.min() > -1e-9
    assert np.abs(free[np.arange(len(free)), surface[:4000]]).max() < 1e-9
    assert np.einsum("ij,ij->i", found - place, way).min() >= 0.0
    # And its chart leads back to the same point.
    for number, each in enumerate(room.surfaces):
        chart = chart_of(each, 64)
        mine = np.flatnonzero(surface == number)[:500]
        for i in mine:
            place_of = np.array([spot[i, 0], 0.0, spot[i, 1], 0.0])
            _, back = points(chart.kind, np.array([1, 1]), place_of, chart.form)
            assert back[0, 0] == pytest.approx(found[i], abs=1e-9)


@EVERY
def test_directions_from_inside_see_each_surface_under_its_solid_angle(room):
    # The divergence theorem: from any inside point the surfaces fill 4 pi together,
    # sum of (n . d) dA / d**3; a gap or an overlap between two of them would show.
    eye = np.array([0.4, -0.7, 0.9])
    total = 0.0
    for surface in room.surfaces:
        chart = chart_of(surface, 1000)
        inside, found = points(chart.kind, chart.size, chart.place, chart.form)
        right = np.gradient(found, axis=1)
        down = np.gradient(found, axis=0)
        away = found - eye
        cube = np.linalg.norm(away, axis=-1) ** 3
        part = np.abs(np.einsum("...i,...i", np.cross(right, down), away)) / cube
        total += part[inside].sum()
    assert total == pytest.approx(4 * math.pi, rel=3e-3)


def test_what_is_overhead_has_north_up_and_east_to_the_left():
    for name in ("half sphere", "bell", "hall"):
        chart = chart_of(ROOMS[name].overhead.outer, 60)
        _, found = points(chart.kind, chart.size, chart.place, chart.form)
        rows, columns = found.shape[:2]
        assert found[0, columns // 2, 1] > 2.0
        assert found[rows // 2, 0, 0] > 2.0
        chart = chart_of(ROOMS[name].floor, 60)
        _, found = points(chart.kind, chart.size, chart.place, chart.form)
        assert found[0, found.shape[1] // 2, 1] > 2.0
        assert found[found.shape[0] // 2, -1, 0] > 2.0


def test_walls_of_a_hall_face_the_middle():
    for surface in ROOMS["hall"].surfaces:
        assert surface.clearance(np.array([0.0, 0.0, 1.0])) > 0.9
        (normal,) = surface.normals(surface.centre[None])
        assert normal @ (np.array([0.0, 0.0, 1.0]) - surface.centre) > 0


@pytest.mark.parametrize("frequency", [1, 2, 3, 4])
def test_every_triangle_of_the_frame_holds_its_own_middle(frequency):
    frame = Frame(frequency, 0.03, 0.0, -2.0, 7)
    face, weights = frame.locate(frame.centres)
    assert np.array_equal(frame.triangle(face, weights), np.arange(20 * frequency**2))


def test_struts_run_from_corner_to_corner():
    frame = Frame(3, 0.03, 0.0, -2.0, 7)
    a, b, _ = frame.faces[4]
    for share in (0.0, 0.2, 1 / 3, 0.7):
        along = (1 - share) * a + share * b
        along = (along / np.linalg.norm(along))[None]
        assert frame.distance(along, *frame.locate(along)) == pytest.approx(0.0, abs=1e-12)
    middle = frame.centres[:1]
    assert frame.distance(middle, *frame.locate(middle))[0] > 0.1


def test_a_strut_is_as_wide_as_its_tube():
    room = dome(4.0, 4.0, 0.0, GREY, GREY, 0.0, frequency=4, tube=0.05)
    frame = room.frame
    a, b, c = frame.faces[0]
    across = np.linspace(-0.1, 0.1, 2001)[:, None] / 4.0  # 0.1 mm apart
    strut = 0.9 * a + 0.1 * b
    inward = c - strut * (c @ strut) / (strut @ strut)
    way = strut / np.linalg.norm(strut) + across * inward / np.linalg.norm(inward)
    place = 4.0 * way / np.linalg.norm(way, axis=1, keepdims=True)
    # At right angles to the strut; the fabric beside it gives back 0.5, the tube much less.
    normal = np.cross(a, b) / np.linalg.norm(np.cross(a, b))
    dark = room.paint(room.surfaces[0], place).max(axis=1) < 0.25
    assert np.ptp(place[dark] @ normal) == pytest.approx(0.05, rel=0.01)


def test_the_open_share_of_the_dome_is_dark_and_reflects_nothing():
    room = dome(4.0, 4.0, 0.0, GREY, GREY, 0.0, frequency=4, tube=0.0, open_share=0.25)
    chart = chart_of(room.surfaces[0], 500)
    inside, found = points(chart.kind, chart.size, chart.place, chart.form)
    paint = room.paint(room.surfaces[0], found)
    # Triangles of one frequency differ in area by up to a quarter.
    assert (paint[inside].max(axis=1) == 0.0).mean() == pytest.approx(0.25, abs=0.03)
    landed = {"dome": np.full(3, 50.0), "floor": np.zeros(3)}
    closed = dome(4.0, 4.0, 0.0, GREY, GREY, 0.0).interreflected(landed)
    landed["dome"] *= 0.75  # what falls on openings does not land
    assert (room.interreflected(landed) < 0.75 * closed).all()


def test_clearance_under_a_wall_and_under_a_cone():
    assert ROOMS["half sphere on a wall"].clearance(np.array([2.9, 0, 0.5])) == pytest.approx(0.1)
    # A point on the axis of a cone is its depth under the tip times the sine of the half angle.
    tip = 0.6 + 2.4
    sine = 2.5 / math.hypot(2.5, 2.4)
    assert ROOMS["bell"].clearance(np.array([0, 0, tip - 0.5])) == pytest.approx(0.5 * sine)
    assert ROOMS["hall"].clearance(np.array([4.4, 0, 1.0])) == pytest.approx(0.1)
    assert ROOMS["hall"].clearance(np.array([4.6, 0, 1.0])) < 0


@EVERY
def test_the_furthest_of_a_surface_is_the_furthest_of_its_points(room):
    for surface in room.surfaces:
        chart = chart_of(surface, 400)
        inside, found = points(chart.kind, chart.size, chart.place, chart.form)
        for place in np.array([[0.0, 0.0, 1.2], [0.4, -0.7, 0.2], [-0.3, 0.1, 2.2]]):
            distance = float(np.linalg.norm(found[inside] - place, axis=1).max())
            # Texels' middles lie a little off the rim.
            assert distance <= surface.furthest(place) + 1e-9
            assert surface.furthest(place) == pytest.approx(distance, rel=5e-3)


@EVERY
def test_its_mesh_is_closed_and_faces_the_room(room):
    import trimesh

    from glint.room.mesh import mesh

    found = mesh(room)
    solid = trimesh.Trimesh(found.corners, found.triangles, process=False)
    assert solid.is_watertight
    # Triangles face inwards, so the volume is that of the room, below zero.
    assert solid.volume < 0
    assert solid.area == pytest.approx(sum(s.area for s in room.surfaces), rel=5e-3)
