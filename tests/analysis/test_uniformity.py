"""Equal-area cells against HEALPix, and unevenness against theory."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.analysis.uniformity import Cells, coefficient_of_variation, lattice
from glint.kernels.surfaces.equal_area import point, points
from glint.room.bell import bell
from glint.room.charts import chart_of
from glint.room.hall import hall
from glint.room.surfaces.cap import Cap
from glint.room.yurt import yurt


def cap(radius=4.0, height=4.0):
    return Cap(
        name="dome",
        reflectance=np.ones(3),
        centre=np.array([0.0, 0.0, 0.5]),
        radius=radius,
        height=height,
    )


@pytest.mark.parametrize("height", [1.0, 4.0, 8.0])
def test_every_cell_holds_its_share_of_evenly_spread_healpix_pixels(height):
    """HEALPix pixels have one area (Gorski et al. 2005, ApJ 622, 759): each cell of ours holds as
    many of their middles, but for those along its edge."""
    healpix = pytest.importorskip("astropy_healpix")
    grid = healpix.HEALPix(nside=256)
    longitude, latitude = grid.healpix_to_lonlat(np.arange(grid.npix))
    lon, lat = np.asarray(longitude.value), np.asarray(latitude.value)
    away = np.column_stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])
    surface = cap(height=height)
    inside = 4.0 * away[:, 2] >= 4.0 - height
    cells = Cells(surface, 200)
    counts = cells.counts(surface.centre + 4.0 * away[inside])
    assert counts.sum() == pytest.approx(grid.npix * height / 8.0, rel=2e-3)
    assert len(counts) == cells.rings.sum() == 200
    mean = counts.mean()
    assert np.abs(counts - mean).max() < 4.0 * math.sqrt(mean)
    assert coefficient_of_variation(counts) < 1.5 / math.sqrt(mean)


def test_cells_are_near_to_square():
    cells = Cells(cap(), 200)
    edges = np.concatenate([[0], np.cumsum(cells.rings)]) / 200.0
    latitude = np.arccos(1.0 - edges)
    width = 2.0 * math.pi * np.sin(0.5 * (latitude[1:] + latitude[:-1])) / cells.rings
    assert np.all((np.diff(latitude) / width)[1:] < 1.6)
    assert np.all((np.diff(latitude) / width)[1:] > 0.6)


def test_random_points_are_as_uneven_as_poisson_says():
    """Counts of points strewn at random have a variance equal to their mean (Poisson)."""
    rng = np.random.default_rng(4)
    cells, surface = Cells(cap(), 200), cap()
    found = []
    for _ in range(60):
        up, turn = rng.uniform(0.0, 4.0, 1200), rng.uniform(0.0, 2.0 * math.pi, 1200)
        out = np.sqrt(16.0 - up**2)
        away = np.column_stack([out * np.cos(turn), out * np.sin(turn), up])
        found.append(coefficient_of_variation(cells.counts(surface.centre + away)))
    theory = math.sqrt(200 / 1200 * (1.0 - 1.0 / 200))  # of a fixed total: multinomial
    assert np.mean(found) == pytest.approx(theory, rel=0.02)


def test_nothing_at_all_has_no_unevenness():
    assert math.isnan(coefficient_of_variation(np.zeros(5)))


def test_a_lattice_is_on_the_cap_and_even():
    surface = cap(5.0, 2.0)
    points = lattice(surface, 20000)
    away = points[:, :3] - surface.centre
    assert np.allclose(np.linalg.norm(away, axis=1), 5.0)
    assert np.allclose(points[:, 3:], -away / 5.0)
    assert away[:, 2].min() > 3.0
    counts = Cells(surface, 200).counts(points[:, :3])
    assert counts.sum() == 20000
    assert np.abs(counts - 100).max() <= 12


def roofs():
    fabric = np.ones(3)
    return {
        "cap": cap(5.0, 2.0),
        "cone": bell(3.0, 2.0, 1.2, 0.0, fabric, fabric, 0.0).surfaces[0],
        "flat": hall(9.0, 4.0, 3.5, fabric, fabric, 0.0).surfaces[0],
        "frustum": yurt(3.0, 2.0, 1.2, 1.2, fabric, fabric, 0.0).surfaces[0],
    }


@pytest.mark.parametrize("kind", ["cap", "cone", "flat", "frustum"])
def test_every_cell_of_any_roof_holds_its_share_of_the_texels(kind):
    """Charts are equal-area: the texels of a light map are a measure of area of their own."""
    roof = roofs()[kind]
    chart = chart_of(roof, 600)
    inside, place = points(chart.kind, chart.size, chart.place, chart.form)
    cells = Cells(roof, 200)
    assert cells.rings.sum() == 200
    counts = cells.counts(place[inside])
    mean = counts.mean()
    assert np.abs(counts - mean).max() < 4.0 * math.sqrt(mean)
    # As near to square as whole numbers allow: as long as wide, but for the very first cells.
    number = cells.of(place[inside])
    spans = [np.ptp(place[inside][number == n], axis=0).max() for n in range(200)]
    assert np.median(spans) < 1.8 * math.sqrt(cells.area)


@pytest.mark.parametrize("kind", ["cap", "cone", "flat", "frustum"])
def test_the_square_goes_there_and_back_and_agrees_with_the_chart(kind):
    roof = roofs()[kind]
    rng = np.random.default_rng(3)
    square = rng.uniform(0.0, 1.0, (500, 2))
    places = roof.from_square(square)
    assert roof.to_square(places) == pytest.approx(square, abs=1e-9)
    form = roof.form
    for (across, up), place in zip(roof.on_chart(square), places, strict=True):
        inside, *found = point(roof.kind, form, across, up)
        assert inside
        assert found[:3] == pytest.approx(place, abs=1e-9)
        assert found[3:] == pytest.approx(roof.normals(place[None])[0], abs=1e-9)


@pytest.mark.parametrize("kind", ["cone", "flat", "frustum"])
def test_a_lattice_is_even_on_any_roof(kind):
    roof = roofs()[kind]
    counts = Cells(roof, 200).counts(lattice(roof, 20000)[:, :3])
    assert np.abs(counts - 100).max() <= 14
