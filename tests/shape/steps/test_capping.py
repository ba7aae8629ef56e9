"""Capping: cupolas by hand, which way they stand, and every Archimedean solid made buildable."""

from __future__ import annotations

from collections import Counter
from math import acos, pi, sqrt

import numpy as np
import pytest

from glint.errors import ShapeError
from glint.shape.bases import solid
from glint.shape.bases.classical import ARCHIMEDEAN
from glint.shape.buildable import require_buildable
from glint.shape.catalogue import catalogue
from glint.shape.joints import angle_kinds
from glint.shape.polyhedron import Polyhedron, edge_lengths, edges, is_convex, volume
from glint.shape.steps import apply_steps, step_of
from glint.shape.steps.capping import cap_faces


@pytest.mark.parametrize(
    ("base", "sides", "triangles", "squares"),
    [
        ("truncated tetrahedron", 6, 4 + 4 * 4, 4 * 3),
        ("truncated cube", 8, 8 + 6 * 4, 6 * 5),
        ("truncated dodecahedron", 10, 20 + 12 * 10, 12 * 5),
    ],
)
def test_counts(base: str, sides: int, triangles: int, squares: int):
    body = cap_faces(solid(base), sides)
    assert Counter(map(len, body.faces)) == {3: triangles, 4: squares}
    assert edge_lengths(body) == pytest.approx(1.0, abs=1e-12)
    assert len(body.vertices) - len(edges(body).ends) + len(body.faces) == 2
    require_buildable(body)


def test_which_way_it_stands():
    # Truncated cube: squares over the edges to triangles, so at the edges between octagons two
    # triangles meet, each sloping by arccos(1 / sqrt(3)), over a right angle.
    plain = solid("truncated cube")
    kinds = {kind.sides: kind for kind in angle_kinds(cap_faces(plain, 8))}
    assert kinds[3, 3].angle == pytest.approx(pi / 2 + 2 * acos(1 / sqrt(3)))
    # Turned, squares meet there, each sloping by 45 degrees: they lie flat.
    turned = cap_faces(plain, 8, turned=True)
    assert is_convex(turned)
    flat = [kind for kind in angle_kinds(turned) if kind.sides == (4, 4)][-1]
    assert (flat.angle, flat.count) == (pytest.approx(pi), 12)


def test_only_the_highest_are_capped():
    body = cap_faces(solid("truncated octahedron"), 6, 1)
    assert Counter(map(len, body.faces)) == {6: 7, 4: 6 + 3, 3: 4}


def test_a_cap_beside_an_opening():
    steps = [step_of(do="open", sides=8), step_of(do="cap", sides=8)]
    body = apply_steps(solid("truncated cube"), steps)
    require_buildable(body)
    assert len(body.open_faces) == 1


@pytest.mark.parametrize("sides", [3, 5, 12])
def test_other_faces_are_refused(sides: int):
    with pytest.raises(ShapeError, match=f"shape.steps sides: found {sides}; allowed: 6, 8 or 10"):
        cap_faces(solid("prism", 12), sides)


def shadow(body: Polyhedron) -> float:
    return float(np.linalg.norm(body.vertices, axis=1).max())


@pytest.mark.parametrize("base", ARCHIMEDEAN)
def test_every_archimedean_solid_is_made_of_triangles_and_squares(base: str):
    found = [entry for entry in catalogue() if entry.base == base and entry.buildable]
    assert found
    plain = solid(base)
    for entry in found:
        assert entry.triangles + entry.squares >= len(plain.faces)
        assert entry.diameter >= 2 * shadow(plain) - 1e-9


def test_volume_of_a_capped_hexagon():
    # A triangular cupola is half a cuboctahedron: 5 sqrt(2) / 6.
    grown = volume(cap_faces(solid("truncated tetrahedron"), 6)) - volume(
        solid("truncated tetrahedron")
    )
    assert grown == pytest.approx(4 * 5 * sqrt(2) / 6)
