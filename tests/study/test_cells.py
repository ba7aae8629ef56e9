"""Equal-area cells against HEALPix, and unevenness against theory."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.room.surface import Surface
from glint.study.cells import Cells, coefficient_of_variation, lattice


def cap(radius=4.0, height=4.0):
    return Surface("dome", "cap", np.array([0.0, 0.0, 0.5]), radius, height, np.ones(3))


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
