"""Pieces of a net on pages: none runs off its page or lies on another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from glint.build.layout import on_one_sheet, on_pages

SIZES = [np.array(size) for size in np.random.default_rng(5).uniform(20.0, 90.0, (40, 2))]
GAP = 4.0


def apart(one, other):
    """How far two pieces of a page are from each other, along the axis that parts them more."""
    (a, (aw, ah)), (b, (bw, bh)) = ((p, SIZES[p.piece]) for p in (one, other))
    return max(a.x - b.x - bw, b.x - a.x - aw, a.y - b.y - bh, b.y - a.y - ah)


@pytest.mark.parametrize("width, height", [(200.0, 280.0), (90.0, 90.0)])
def test_pieces_stay_on_their_page_and_apart(width, height):
    found = on_pages(SIZES, width, height, GAP)
    assert [place.piece for place in found.places] == list(range(len(SIZES)))
    assert {place.page for place in found.places} == set(range(found.pages))
    for place in found.places:
        w, h = SIZES[place.piece]
        assert place.x >= 0.0 and place.x + w <= width + 1e-6
        assert place.y >= 0.0 and place.y + h <= height + 1e-6
    for one, other in combinations(found.places, 2):
        assert one.page != other.page or apart(one, other) >= GAP - 1e-6


def test_one_sheet_holds_all_and_is_no_larger_than_they_need():
    found = on_one_sheet(SIZES, GAP)
    assert found.pages == 1
    assert all(apart(*pair) >= GAP - 1e-6 for pair in combinations(found.places, 2))
    ends = [(p.x + SIZES[p.piece][0], p.y + SIZES[p.piece][1]) for p in found.places]
    assert np.max(ends, axis=0) == pytest.approx([found.width, found.height])
