"""A roof and its crown as one whole: one square, one chart, one picture."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.uniformity import Cells, lattice
from glint.kernels.surfaces.equal_area import points
from glint.render.still import together
from glint.room.charts import chart_of
from glint.room.yurt import yurt

GREY = np.full(3, 0.5)
ROOM = yurt(3.0, 1.8, 1.3, 1.4, GREY, GREY, 0.3)
WHOLE = ROOM.overhead


def scattered(number):
    """Points strewn evenly over roof and crown by rays, and nothing of `Overhead`."""
    draw = np.random.default_rng(5)
    roof, crown = WHOLE.parts
    on_roof = draw.random(number) < roof.area / (roof.area + crown.area)
    share = draw.random(number)
    # Radii of an even measure: the square root of an even share between the squares of the rims.
    out = np.where(on_roof, np.sqrt(0.49 + share * (9.0 - 0.49)), 0.7 * np.sqrt(share))
    rise = np.where(on_roof, 1.3 + 1.8 * (3.0 - out) / (3.0 - 0.7), 3.1)
    turn = draw.random(number) * 2.0 * math.pi
    return np.column_stack([out * np.cos(turn), out * np.sin(turn), rise]), on_roof


def test_areas_add_up_to_those_of_a_frustum_and_a_disc():
    frustum = math.pi * (3.0 + 0.7) * math.hypot(2.3, 1.8)
    assert WHOLE.area == pytest.approx(frustum + math.pi * 0.49)
    assert ROOM.height == pytest.approx(3.1)


def test_the_square_goes_there_and_back_and_knows_the_parts():
    place, on_roof = scattered(4000)
    assert np.array_equal(WHOLE.parts_of(place) == 0, on_roof)
    square = WHOLE.to_square(place)
    assert WHOLE.from_square(square) == pytest.approx(place, abs=1e-9)
    facing = WHOLE.normals(place)
    assert facing[~on_roof] == pytest.approx(np.tile([0.0, 0.0, -1.0], ((~on_roof).sum(), 1)))
    assert (facing[on_roof, 2] < -0.5).all()


def test_cells_of_the_whole_hold_alike_many_points_of_an_even_scatter():
    place, _ = scattered(100_000)
    counts = Cells(WHOLE, 200).counts(place)
    assert counts.sum() == 100_000
    # A multinomial with 500 to a cell: chi-square over 199 degrees of freedom within five sigma.
    chi = float(((counts - 500.0) ** 2 / 500.0).sum())
    assert abs(chi - 199.0) < 5.0 * math.sqrt(2 * 199.0)
    even = Cells(WHOLE, 200).counts(lattice(WHOLE, 20000)[:, :3])
    assert np.abs(even - 100).max() <= 14


def test_areas_on_the_chart_of_the_whole_are_areas():
    place, _ = scattered(100_000)
    chart = WHOLE.on_chart(WHOLE.to_square(place))
    reach = math.sqrt(WHOLE.area / math.pi)
    assert reach == pytest.approx(WHOLE.parts[0].reach)
    rings = np.bincount((20 * (chart**2).sum(axis=1) / reach**2).astype(int), minlength=20)
    assert np.abs(rings - 5000).max() < 5.0 * math.sqrt(5000)


@pytest.mark.parametrize("texels", [64, 65, 300, 701])
def test_a_crowns_texels_lie_on_its_roofs_and_fill_its_hole(texels):
    parts, charts = [], [chart_of(part, texels) for part in WHOLE.parts]
    for chart in charts:
        inside, where = points(chart.kind, chart.size, chart.place, chart.form)
        parts.append(where * inside[..., None])
    step = charts[0].place[1]
    fine = step / charts[1].place[1]
    assert fine == pytest.approx(round(fine))
    seen = together(parts, charts)
    at = charts[0].place[0] + np.arange(texels) * step
    within = at[:, None] ** 2 + at**2 <= WHOLE.parts[0].reach ** 2
    # Every texel within the rim shows some place overhead, and the right one.
    assert (seen[within][:, 2] > 1.2).all()
    azimuth = np.arctan2(at[:, None], at[None])
    found = np.arctan2(seen[..., 1], seen[..., 0])
    off = np.abs(np.angle(np.exp(1j * (found - azimuth))))[within]
    assert np.percentile(off, 99) < 1e-6
