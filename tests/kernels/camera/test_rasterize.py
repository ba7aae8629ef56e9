"""What samples see polygon by polygon is what rays meet; and how near rays come to edges."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.camera.projection import camera
from glint.kernels.camera.rasterize import (
    SIDE,
    cover_field,
    fields_of,
    polygons_in_fields,
    rays_of_field,
)
from glint.kernels.geometry.bvh import DEEPEST, NOTHING, nearest_polygon, stances
from glint.render.eye.geometry import Thing, joined
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.kernels.setups import plates

SIZE = (70, 50)
PLACES = np.array([[0.1, 0.5], [0.6, 0.7], [0.4, 0.1], [0.9, 0.4]])


def ball(**shape):
    """A spiked ball, of which one may look inside where a step has opened it."""
    scene = build(scene_of({"room": {"radius_m": 3.0}, "ball": [{"shape": shape}]}))
    still = scene.still_polygons
    number = len(still.sides)
    return Thing(
        still.corners,
        still.sides,
        still.mirror,
        np.where(still.mirror, 0.9, 0.0),
        np.full((number, 3), 0.5),
        np.array([0.0, 0.0, 1.8]),
        False,
        scene.balls[0].body.closed,
    )


def turned(bodies, degrees):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return stances(np.tile(turn, (len(bodies.radius), 1, 1)), bodies.centre)


@pytest.mark.parametrize("fov", [40.0, 100.0, 150.0])
@pytest.mark.parametrize("eye", [(0.0, -0.75, 1.7), (0.1, -0.35, 1.5), (0.0, -0.16, 1.8)])
@pytest.mark.parametrize("open_faces", [0, 3])
def test_samples_see_what_rays_meet(fov, eye, open_faces):
    steps = [{"do": "raise", "sides": 4}]
    if open_faces:
        steps.append({"do": "open", "sides": 3, "count": open_faces})
    plate = plates([((0.15, -0.2, 1.75), (0.3, -1.0, 0.1), 0.1)])
    other = Thing(
        plate.corners - [0.15, -0.2, 1.75],
        plate.sides,
        np.ones(1, bool),
        np.ones(1),
        np.ones((1, 3)),
        np.array([0.15, -0.2, 1.75]),
    )
    bodies = joined([ball(base="cuboctahedron", steps=steps), other])
    view = camera(np.array(eye), np.array([0.05, 0.0, 1.8]), math.radians(fov), SIZE)
    instants = np.array([turned(bodies, degrees) for degrees in (3.0, 8.0, 40.0)])
    fields = fields_of(np.ones(SIZE[::-1], bool))
    number = len(PLACES)
    box, start, entries = polygons_in_fields(
        bodies, instants, view, fields.number, len(fields.place)
    )
    total = SIDE * SIDE * number
    ways, path, found = np.empty((total, 3)), np.empty(total), np.empty(total, np.int32)
    edges, stack = np.empty((bodies.corners.shape[1], 3)), np.empty(DEEPEST, np.int64)
    wrong = met = fronts = 0
    for f, (row, column) in enumerate(fields.place):
        top, left = row * SIDE, column * SIDE
        rays_of_field(view, left, top, PLACES, ways)
        cover_field(
            bodies, instants, view.at, box, entries, start[f], start[f + 1], left, top, number,
            ways, path, found, edges,
        )  # fmt: skip
        for k in range(total):
            if top + k // number // SIDE >= SIZE[1] or left + k // number % SIDE >= SIZE[0]:
                continue
            turn = instants[k % number % len(instants)]
            _, polygon, away, _ = nearest_polygon(
                bodies.solid, turn, *view.at, *ways[k], 1e300, NOTHING, NOTHING, 0.0, 0.0, stack
            )
            met += polygon >= 0
            wrong += polygon != found[k]
            if polygon == found[k] and polygon >= 0:
                assert path[k] == pytest.approx(away, rel=1e-9)
                fronts += bodies.mirror[polygon]
    # Where two polygons meet, rounding decides.
    assert met > 50 and fronts > 20 and wrong <= 2


@pytest.mark.parametrize("open_faces", [0, 3])
def test_what_is_ahead_of_a_mirror_is_all_that_rays_from_it_meet(open_faces, monkeypatch):
    monkeypatch.setattr("glint.kernels.geometry.bvh.SHORT", 100)
    steps = [{"do": "raise", "sides": 4}]
    if open_faces:
        steps.append({"do": "open", "sides": 3, "count": open_faces})
    bodies = joined([ball(base="rhombicuboctahedron", steps=steps)])
    solid, turn, stack = bodies.solid, turned(bodies, 20.0), np.empty(DEEPEST, np.int64)
    leaves = solid.ahead >= len(solid.box)
    assert leaves.sum() > 20 and not leaves[~bodies.mirror].any()
    dice, met, other = np.random.default_rng(3), 0, 0
    for p in np.flatnonzero(bodies.mirror):
        corners = stances_at(turn[0], bodies.corners[p, : bodies.sides[p]])
        normal = turn[0, :9].reshape(3, 3) @ bodies.normals[p]
        for _ in range(40):
            start = dice.dirichlet(np.ones(len(corners))) @ corners + 1e-7 * normal
            way = dice.normal(size=3)
            way *= np.sign(way @ normal) / np.linalg.norm(way)
            ray = (solid, turn, *start, *way, 1e300)
            _, every, path, _ = nearest_polygon(*ray, NOTHING, NOTHING, 0.0, 0.0, stack)
            _, some, near, _ = nearest_polygon(*ray, 0, solid.ahead[p], 0.0, 0.0, stack)
            met += every >= 0
            if every != some:
                # Under the rim of a tile, which is seen from behind there.
                behind = turn[0, :9].reshape(3, 3) @ bodies.normals[every] @ way > 0.0
                assert not open_faces and bodies.mirror[every] and behind
                other += 1
            else:
                assert near == path
    assert met > 200 and other < 0.03 * met


def stances_at(stance, points):
    return points @ stance[:9].reshape(3, 3).T + stance[9:]


def test_a_mask_is_cut_into_fields_none_of_them_empty():
    mask = np.zeros((40, 70), bool)
    mask[3, 5] = mask[39, 69] = True
    fields = fields_of(mask)
    assert fields.place.tolist() == [[0, 0], [2, 4]]
    assert fields.number[0, 0] == 0 and fields.number[2, 4] == 1
    assert (fields.number == NOTHING).sum() == fields.number.size - 2


def test_a_ray_tells_where_it_comes_near_to_an_edge():
    # A square of 0.2 m square on at 1 m, another one askew at 2 m: its right edge is at x = 0.3.
    bodies = joined(
        [
            Thing(
                (found := plates([(place, normal, side)])).corners - place,
                found.sides,
                np.ones(1, bool),
                np.ones(1),
                np.ones((1, 3)),
                np.array(place),
            )
            for place, normal, side in (
                ((0.0, 1.0, 0.0), (0.0, -1.0, 0.0), 0.2),
                ((0.0, 2.0, 0.0), (0.0, -1.0, 0.0), 0.6),
            )
        ]
    )
    turn, stack = turned(bodies, 0.0), np.empty(DEEPEST, np.int64)

    def along(x, wide, growth=0.0):
        body, _, path, edge = nearest_polygon(
            bodies.solid, turn, x, 0.0, 0.0, 0.0, 1.0, 0.0, 1e300,
            NOTHING, NOTHING, wide, growth, stack,
        )  # fmt: skip
        return body, path, edge

    assert along(0.0, 0.05) == (0, pytest.approx(1.0), math.inf)
    assert along(0.08, 0.03) == (0, pytest.approx(1.0), pytest.approx(1.0))
    assert along(0.08, 0.01)[2] == math.inf
    # Past the first one, but near its edge; and far from it, near that of the second.
    assert along(0.12, 0.03) == (1, pytest.approx(2.0), pytest.approx(1.0))
    assert along(0.12, 0.01) == (1, pytest.approx(2.0), math.inf)
    assert along(0.29, 0.0, 0.01) == (1, pytest.approx(2.0), pytest.approx(2.0))
    assert along(0.29, 0.0, 0.004)[2] == math.inf
    # Past both of them: no body, but an edge.
    assert along(0.31, 0.02) == (NOTHING, 1e300, pytest.approx(2.0))
    assert along(0.4, 0.02) == (NOTHING, 1e300, math.inf)
    # The first edge is hidden by nothing, the second one by the first square.
    assert along(0.0, 0.31)[2] == pytest.approx(1.0)
