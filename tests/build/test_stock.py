"""What a stock covers, against counting by hand."""

from __future__ import annotations

import pytest

from glint.build.stock import Stock, candidates, covered, of_size, shortages
from glint.shape.catalogue import catalogue


def names(rows):
    return [row.entry.name for row in rows]


def test_every_shape_that_the_stock_covers_is_there_with_what_is_left():
    rows = {row.entry.name: row for row in covered(Stock(24, 6), candidates())}
    assert rows["cuboctahedron, triangles raised"][1:] == (1, 0, 0)
    assert rows["icosahedron"][1:] == (1, 4, 6)
    assert rows["tetrahedron"][1:] == (6, 20, 6)
    assert rows["cube"][1:] == (1, 24, 0)
    assert set(rows) == {
        entry.name for entry in candidates() if entry.triangles <= 24 and entry.squares <= 6
    }


def test_only_shapes_that_can_be_built_are_offered():
    assert all(entry.buildable for entry in candidates())
    assert "dodecahedron" not in names(covered(Stock(10_000, 10_000), candidates()))


def test_a_body_that_comes_about_in_two_ways_is_offered_once():
    # Lids on a pentagonal antiprism make the icosahedron (Johnson 1966 calls it the
    # gyroelongated pentagonal bipyramid).
    listed = {entry.name for entry in catalogue()}
    offered = {entry.name for entry in candidates()}
    assert "pentagonal antiprism, pentagons raised" in listed - offered
    assert "icosahedron" in offered


def test_bodies_that_only_take_the_same_tiles_stay_apart():
    # Three entries take 24 triangles, but two are one body, Kepler's stella octangula: a spiked
    # tetrahedron is a raised octahedron.
    listed = {e.name for e in catalogue() if e.buildable and (e.triangles, e.squares) == (24, 0)}
    offered = {entry.name for entry in candidates()} & listed
    assert "octahedron, triangles raised" in listed - offered
    assert offered == {"cube, squares raised", "tetrahedron, triangles spiked"}


@pytest.mark.parametrize(
    ("spare", "usable"), [(0, (110, 22)), (10, (100, 20)), (10.5, (99, 19)), (100, (55, 11))]
)
def test_spare_tiles_are_set_aside(spare, usable):
    assert Stock(110, 22, spare).usable == usable


def test_a_stock_that_makes_nothing_is_told_what_is_short():
    stock = Stock(3, 2)
    assert covered(stock, candidates()) == []
    nearest = shortages(stock, candidates())
    assert nearest[0].entry.name == "tetrahedron" and nearest[0][1:] == (1, 0)
    assert nearest[1].entry.name == "triangular prism" and nearest[1][1:] == (0, 1)


def test_small_shapes_can_be_left_out():
    rows = covered(Stock(100, 30), of_size(60))
    assert rows and all(row.entry.triangles + row.entry.squares >= 60 for row in rows)
