"""The figure of the reference room."""

from __future__ import annotations

from glint.build.reference import visible_spots
from glint.build.stock import candidates


def test_more_faces_throw_more_spots_and_progress_is_told():
    by_name = {entry.name: entry for entry in candidates()}
    entries = [by_name["tetrahedron"], by_name["icosahedron"]]
    told = []
    few, many = visible_spots(entries, lambda done, total: told.append((done, total)))
    # A convex body shows the lamp at most all its faces but one, and each throws one spot.
    assert 0 < few <= 3
    assert few < many <= 19
    assert told == [(1, 2), (2, 2)]
