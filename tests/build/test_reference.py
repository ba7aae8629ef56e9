"""The figure of the reference room."""

from __future__ import annotations

from glint.build.reference import places_of, reference, visible_spots
from glint.build.stock import candidates
from glint.schema.read import scene_of
from glint.shape.tables import TileTable


def counted(entries, places=None, **more):
    counts = visible_spots(entries, places or reference(), TileTable(), **more)
    return [count.spots for count in counts]


def test_more_faces_throw_more_spots_and_progress_is_told():
    by_name = {entry.name: entry for entry in candidates()}
    entries = [by_name["tetrahedron"], by_name["icosahedron"]]
    told = []
    few, many = counted(entries, tell=lambda done, total: told.append((done, total)))
    # A convex body shows the lamp at most all its faces but one, and each throws one spot.
    assert 0 < few <= 3
    assert few < many <= 19
    assert told == [(1, 2), (2, 2)]


TWO = {
    "room": {"radius_m": 4.0},
    "ball": [
        {"name": "near", "shape": "cube", "hang": {"height_m": 2.0}},
        {"name": "far", "shape": "cube", "hang": {"height_m": 2.0, "at_m": [-2.0, 0.0]}},
    ],
    "lamp": [{"at_m": [3.0, 0.0, 1.6], "aim": "near", "beam_deg": 3.0}],
}


def test_each_ball_of_a_scene_is_a_place_and_its_lamps_stay_as_they_are():
    near, far = places_of(scene_of(TWO))
    assert [ball.name for place in (near, far) for ball in place.ball] == ["near", "far"]
    assert near.lamp[0].aim == "near"
    assert far.lamp[0].aim == (0.0, 0.0, 2.0)
    entry = [entry for entry in candidates() if entry.name == "icosahedron, triangles raised"]
    lit, dark = (counted(entry, [place])[0] for place in (near, far))
    # The lamp points at one place; in the other the ball hangs beside its beam.
    assert lit > dark
    (both,) = counted(entry, [near, far])
    assert abs(both - (lit + dark) / 2) <= 1


def test_a_shape_that_cannot_hang_anywhere_has_no_figure():
    low = {**TWO, "ball": [{"shape": "cube", "hang": {"height_m": 0.03}}]}
    low["lamp"] = [{"at_m": [3.0, 0.0, 1.6]}]
    entries = [entry for entry in candidates() if entry.name in ("tetrahedron", "snub cube")]
    small, large = visible_spots(entries, places_of(scene_of(low)), TileTable())
    assert small.spots is not None and small.problem == ""
    assert large.spots is None and "[[ball]] 1" in large.problem
