"""Views by name, and what the panorama shows."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.errors import GlintError
from glint.render.panorama import Panorama, bands_of, texels_for, ways
from glint.render.still import draw
from glint.render.views import VIEWS, view_of
from glint.room.bell import bell
from glint.room.charts import chart_of
from glint.room.dome import dome
from glint.room.hall import hall
from glint.room.yurt import yurt
from glint.scene.build import build
from glint.schema.read import scene_of

WHITE = np.full(3, math.pi * 0.1)
ROOMS = {
    "dome": dome(4.0, 4.0, 0.0, WHITE, WHITE, 0.3),
    "bell": bell(2.5, 2.4, 0.6, 0.06, WHITE, WHITE, 0.3),
    "hall": hall(9.0, 6.0, 3.5, WHITE, WHITE, 0.3),
    "yurt": yurt(3.0, 1.5, 1.4, 1.2, WHITE, WHITE, 0.3),
}
SIZES = [(1920, 480), (1080, 1080), (1080, 1920), (1920, 1080), (300, 70)]


def test_a_view_that_there_is_not_is_told_with_what_there_is():
    scene = build(scene_of({"room": {"radius_m": 3.0}, "ball": [{"shape": {"base": "cube"}}]}))
    with pytest.raises(GlintError, match=r'view: found "floors"; allowed: "dome", .*"floor"\?'):
        draw(scene.at(degrees=0), view="floors")
    assert all(view_of(name).name == name and view_of(name).words for name in VIEWS)


@pytest.mark.parametrize("size", SIZES)
def test_bands_lie_on_the_canvas_and_go_round_once(size):
    bands = bands_of(size)
    width, height = size
    ys, xs = np.mgrid[0:height, 0:width] + 0.5
    found = ways(bands, xs.ravel(), ys.ravel())
    seen = np.any(found != 0.0, axis=1)
    assert np.linalg.norm(found[seen], axis=1) == pytest.approx(1.0)
    # Pixels of a cylinder: as many as the way round times its height, an even lot each way.
    assert seen.sum() == pytest.approx(bands.around**2 / 4.0, rel=0.02)
    turns = np.histogram(np.arctan2(found[seen, 1], found[seen, 0]), 8, (-math.pi, math.pi))[0]
    assert turns == pytest.approx(seen.sum() / 8.0, rel=0.03)
    north = ways(bands_of((400, 100)), np.array([200.0]), np.array([70.0]))
    assert north[0] == pytest.approx([0.0, 1.0, 0.0], abs=0.02)


@pytest.mark.parametrize("name", ROOMS)
def test_each_pixel_shows_the_light_of_the_place_that_its_way_leads_to(name):
    room, size = ROOMS[name], (256, 64)
    texels, bands = texels_for(size), bands_of(size)
    # Light that tells where it lies: lx = 10 + x, 10 + y, 10 + z.
    from glint.kernels.surfaces.equal_area import points
    from glint.room.ray_cast import cast_rays

    lux = []
    for surface in room.surfaces:
        chart = chart_of(surface, texels)
        lux.append(10.0 + points(chart.kind, chart.size, chart.place, chart.form)[1])
    seen = Panorama(room, size, texels).luminance([one.astype(np.float32) for one in lux])
    ys, xs = np.mgrid[0:64, 0:256] + 0.5
    way = ways(bands, xs.ravel(), ys.ravel())
    start = np.tile([0.0, 0.0, 1.2], (len(way), 1))
    hits = cast_rays(room, start, way)
    plain = np.array([room.is_plain(s) for s in room.surfaces])[hits.surface]
    told = seen.reshape(-1, 3)[plain] / 0.1 - 10.0
    off = np.abs(told - hits.point[plain])
    assert np.median(off) < 0.02
    assert np.percentile(off, 95) < 0.2


@pytest.mark.parametrize("view", ["wall", "dome"])
@pytest.mark.parametrize("kind", ["yurt", "hall"])
def test_a_loop_begins_with_its_still(view, kind):
    from glint.render.frames import Film
    from glint.scene.period import cycle

    room = {"kind": kind, "radius_m": 2.5, "rise_m": 1.2, "wall_m": 1.0}
    if kind == "hall":
        room = {"kind": "hall", "length_m": 5.0, "width_m": 4.0, "height_m": 2.6}
    spiked = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
    ball = {"shape": spiked, "hang": {"height_m": 1.4}}
    scene = build(scene_of({"room": room, "ball": [ball]}))
    size = (192, 96)
    film = Film(scene, view, size, cycle(scene), 40, 0.0, 0.0)
    (first,) = film.frames(range(1))
    still = draw(scene.at(seconds=0.0), view, size)
    assert first.shape == still.shape == (96, 192, 3)
    assert np.abs(first.astype(int) - still.astype(int)).mean() < 1.5
    assert still.std() > 5.0
