"""Convex bodies with regular faces that steps make, against N. W. Johnson, "Convex polyhedra with
regular faces", Canadian Journal of Mathematics 18 (1966) 169-200.

Names and numbers in his list, and the counts of faces, are from memory of it; volumes are sums of
the volumes of the parts that the names tell of, in closed form.
"""

from __future__ import annotations

from collections import Counter
from math import cos, pi, sin, sqrt, tan

import pytest
import trimesh

from glint.shape.bases import solid
from glint.shape.buildable import require_buildable
from glint.shape.polyhedron import Polyhedron, area, edges, is_convex, volume
from glint.shape.steps import Step, apply_steps, step_of

# Volumes at edge 1 of the cupolas, numbers 3 to 5 (from memory; the first is half a cuboctahedron).
TRIANGULAR = 5 / (3 * sqrt(2))
SQUARE = 1 + 2 * sqrt(2) / 3
PENTAGONAL = (5 + 4 * sqrt(5)) / 6


def prism(sides: int) -> float:
    return sides / (4 * tan(pi / sides))


def antiprism(sides: int) -> float:
    # Cundy & Rollett, from memory.
    half = pi / (2 * sides)
    return sides * sqrt(4 * cos(half) ** 2 - 1) * sin(3 * half) / (12 * sin(2 * half) ** 2)


def cap(sides: int, count: int | None = None, turned: bool = False) -> Step:
    return step_of(do="cap", sides=sides, count=count, turned=turned)


def raised(sides: int, count: int | None = None) -> Step:
    return step_of(do="raise", sides=sides, count=count)


# number, base, sides of a prism, steps, {sides: faces}, volume
JOHNSON = {
    "elongated triangular cupola, 18": (
        ("prism", 6), [cap(6, 1)], {3: 4, 4: 9, 6: 1}, prism(6) + TRIANGULAR
    ),
    "elongated square cupola, 19": (
        ("prism", 8), [cap(8, 1)], {3: 4, 4: 13, 8: 1}, prism(8) + SQUARE
    ),
    "gyroelongated triangular cupola, 22": (
        ("antiprism", 6), [cap(6, 1)], {3: 16, 4: 3, 6: 1}, antiprism(6) + TRIANGULAR
    ),
    "gyroelongated square cupola, 23": (
        ("antiprism", 8), [cap(8, 1)], {3: 20, 4: 5, 8: 1}, antiprism(8) + SQUARE
    ),
    "elongated triangular orthobicupola, 35": (
        ("prism", 6), [cap(6)], {3: 8, 4: 12}, prism(6) + 2 * TRIANGULAR
    ),
    "gyroelongated triangular bicupola, 44": (
        ("antiprism", 6), [cap(6)], {3: 20, 4: 6}, antiprism(6) + 2 * TRIANGULAR
    ),
    "gyroelongated square bicupola, 45": (
        ("antiprism", 8), [cap(8)], {3: 24, 4: 10}, antiprism(8) + 2 * SQUARE
    ),
    "triaugmented triangular prism, 51": (
        ("prism", 3), [raised(4)], {3: 14}, sqrt(3) / 4 + 3 * sqrt(2) / 6
    ),
    "augmented truncated tetrahedron, 65": (
        ("truncated tetrahedron", None),
        [cap(6, 1)],
        {3: 8, 4: 3, 6: 3},
        23 * sqrt(2) / 12 + TRIANGULAR,
    ),
    "augmented truncated cube, 66": (
        ("truncated cube", None),
        [cap(8, 1)],
        {3: 12, 4: 5, 8: 5},
        (21 + 14 * sqrt(2)) / 3 + SQUARE,
    ),
}  # fmt: skip


@pytest.mark.parametrize(
    ("base", "steps", "faces", "expected"), JOHNSON.values(), ids=JOHNSON.keys()
)
def test_johnson(base, steps, faces, expected):
    body = apply_steps(solid(*base), steps)
    assert Counter(map(len, body.faces)) == faces
    assert len(body.vertices) - len(edges(body).ends) + len(body.faces) == 2
    assert is_convex(body)
    assert volume(body) == pytest.approx(expected)


def test_the_pentagonal_cupola_with_its_top_raised():
    # A pentagonal pyramid of edge 1 has the volume (5 + sqrt(5)) / 24 (number 2, from memory).
    body = apply_steps(solid("truncated dodecahedron"), [cap(10, 1)])
    grown = volume(body) - volume(solid("truncated dodecahedron"))
    assert grown == pytest.approx(PENTAGONAL + (5 + sqrt(5)) / 24)
    assert Counter(map(len, body.faces)) == {3: 20 + 10, 4: 5, 10: 11}


def bicupola(turn: bool) -> Polyhedron:
    return apply_steps(solid("prism", 8), [cap(8, 1), cap(8, 1, turn)])


def test_the_two_ways_of_capping_an_octagonal_prism():
    """One is the rhombicuboctahedron, the other number 37, with the same faces and volume."""
    both = bicupola(False), bicupola(True)
    for body in both:
        require_buildable(body)
        assert is_convex(body)
        assert volume(body) == pytest.approx(4 + 10 * sqrt(2) / 3)
        assert Counter(map(len, body.faces)) == {3: 8, 4: 18}
    # Only the rhombicuboctahedron is its own image through the middle.
    kinds = []
    for body in both:
        cloud = {tuple(row) for row in (body.vertices.round(6) + 0.0).tolist()}
        kinds.append(cloud == {tuple(row) for row in ((-body.vertices).round(6) + 0.0).tolist()})
    assert sorted(kinds) == [False, True]


@pytest.mark.parametrize("name", ["truncated cuboctahedron", "truncated icosidodecahedron"])
def test_capped_bodies_as_trimesh_sees_them(name: str):
    plain = solid(name)
    caps = [cap(sides) for sides in sorted({len(face) for face in plain.faces} - {4})]
    body = apply_steps(plain, caps)
    triangles = [
        (face[0], face[i], face[i + 1]) for face in body.faces for i in range(1, len(face) - 1)
    ]
    other = trimesh.Trimesh(body.vertices, triangles, process=False)
    assert other.is_watertight and other.is_winding_consistent
    assert other.volume == pytest.approx(volume(body))
    assert other.area == pytest.approx(area(body))
