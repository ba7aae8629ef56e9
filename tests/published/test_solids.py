"""The base solids against published tables, closed forms, and trimesh's own measures."""

from __future__ import annotations

import csv
from collections import Counter, defaultdict
from itertools import pairwise
from math import pi, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
import trimesh

from glint.shape.bases import SOLIDS, solid
from glint.shape.bases.classical import ARCHIMEDEAN, PLATONIC
from glint.shape.polyhedron import (
    Polyhedron,
    area,
    dihedral_angles,
    edges,
    has_equal_edges,
    is_convex,
    panels,
    volume,
)
from glint.shape.steps import apply_steps, step_of
from glint.shape.steps.raising import raise_faces

TABLE = Path(__file__).parents[2] / "shared" / "polyhedra" / "solids.csv"

# Volume and area at edge 1, from memory of the tables named in shared/polyhedra/solids.csv.
PENTAGONS = 3 * sqrt(25 + 10 * sqrt(5))  # area of twelve
CLOSED_FORMS = {
    "tetrahedron": (sqrt(2) / 12, sqrt(3)),
    "cube": (1.0, 6.0),
    "octahedron": (sqrt(2) / 3, 2 * sqrt(3)),
    "dodecahedron": ((15 + 7 * sqrt(5)) / 4, PENTAGONS),
    "icosahedron": (5 * (3 + sqrt(5)) / 12, 5 * sqrt(3)),
    "truncated tetrahedron": (23 * sqrt(2) / 12, 7 * sqrt(3)),
    "cuboctahedron": (5 * sqrt(2) / 3, 6 + 2 * sqrt(3)),
    "truncated cube": ((21 + 14 * sqrt(2)) / 3, 2 * (6 + 6 * sqrt(2) + sqrt(3))),
    "truncated octahedron": (8 * sqrt(2), 6 + 12 * sqrt(3)),
    "rhombicuboctahedron": (4 + 10 * sqrt(2) / 3, 18 + 2 * sqrt(3)),
    "truncated cuboctahedron": (22 + 14 * sqrt(2), 12 * (2 + sqrt(2) + sqrt(3))),
    "icosidodecahedron": ((45 + 17 * sqrt(5)) / 6, 5 * sqrt(3) + PENTAGONS),
    "truncated dodecahedron": (
        5 * (99 + 47 * sqrt(5)) / 12,
        5 * (sqrt(3) + 6 * sqrt(5 + 2 * sqrt(5))),
    ),
    "truncated icosahedron": ((125 + 43 * sqrt(5)) / 4, 30 * sqrt(3) + PENTAGONS),
    "rhombicosidodecahedron": ((60 + 29 * sqrt(5)) / 3, 30 + 5 * sqrt(3) + PENTAGONS),
    "truncated icosidodecahedron": (95 + 50 * sqrt(5), 30 * (1 + sqrt(3) + sqrt(5 + 2 * sqrt(5)))),
}

# Vertex figures: the faces in turn round any corner, from memory of Cundy & Rollett, chapter 3.
AROUND_A_CORNER = {
    "tetrahedron": "3.3.3",
    "cube": "4.4.4",
    "octahedron": "3.3.3.3",
    "dodecahedron": "5.5.5",
    "icosahedron": "3.3.3.3.3",
    "truncated tetrahedron": "3.6.6",
    "cuboctahedron": "3.4.3.4",
    "truncated cube": "3.8.8",
    "truncated octahedron": "4.6.6",
    "rhombicuboctahedron": "3.4.4.4",
    "truncated cuboctahedron": "4.6.8",
    "snub cube": "3.3.3.3.4",
    "icosidodecahedron": "3.5.3.5",
    "truncated dodecahedron": "3.10.10",
    "truncated icosahedron": "5.6.6",
    "rhombicosidodecahedron": "3.4.5.4",
    "truncated icosidodecahedron": "4.6.10",
    "snub dodecahedron": "3.3.3.3.5",
}


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def pairs(text: str) -> dict[str, str]:
    return dict(item.split(":") for item in text.split())


def as_trimesh(body: Polyhedron) -> trimesh.Trimesh:
    fans = [(f[0], a, b) for f in body.faces for a, b in pairwise(f[1:])]
    return trimesh.Trimesh(body.vertices, fans, process=False)


def round_corner(body: Polyhedron, corner: int) -> list[int]:
    """Sides of the faces met on a walk round one corner."""
    step = {}
    for face in body.faces:
        if corner in face:
            at = face.index(corner)
            step[face[at - 1]] = (face[(at + 1) % len(face)], len(face))
    walk, here = [], next(iter(step))
    for _ in step:
        here, sides = step[here]
        walk.append(sides)
    return walk


def test_the_table_holds_every_regular_and_archimedean_solid_once():
    assert [row["name"] for row in rows()] == [*PLATONIC, *ARCHIMEDEAN]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["name"])
def test_counts(row: dict[str, str]):
    body = solid(row["name"])
    assert len(body.vertices) == int(row["vertices"])
    assert len(edges(body).ends) == int(row["edges"])
    counts = {str(sides): str(n) for sides, n in Counter(map(len, body.faces)).items()}
    assert counts == pairs(row["faces"])


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["name"])
def test_dihedral_angles(row: dict[str, str]):
    body = solid(row["name"])
    sides = panels(body).sides
    measured = defaultdict(set)
    angles = np.degrees(dihedral_angles(body))
    for (left, right), angle in zip(edges(body).faces, angles, strict=True):
        low, high = sorted((sides[left], sides[right]))
        measured[f"{low}-{high}"].add(f"{angle:.4f}")
    assert measured == {kind: {angle} for kind, angle in pairs(row["dihedral_deg"]).items()}


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["name"])
def test_volume_and_area(row: dict[str, str]):
    body = solid(row["name"])
    assert volume(body) == pytest.approx(float(row["volume"]), abs=6e-8)
    assert area(body) == pytest.approx(float(row["area"]), abs=6e-8)


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_volume_and_area_to_the_last_digits(name: str):
    body = solid(name)
    assert (volume(body), area(body)) == pytest.approx(CLOSED_FORMS[name], rel=1e-13)


def test_snub_cube_from_the_tribonacci_constant():
    # From memory: with t**3 = t**2 + t + 1, V = (8 t + 6) / (3 sqrt(2 (t**2 - 3))).
    t = max(np.roots([1, -1, -1, -1]).real)
    assert volume(solid("snub cube")) == pytest.approx((8 * t + 6) / (3 * sqrt(2 * (t * t - 3))))
    assert area(solid("snub cube")) == pytest.approx(6 + 8 * sqrt(3), rel=1e-13)
    assert area(solid("snub dodecahedron")) == pytest.approx(20 * sqrt(3) + PENTAGONS, rel=1e-13)


@pytest.mark.parametrize("name", AROUND_A_CORNER)
def test_every_corner_is_alike(name: str):
    body = solid(name)
    expected = [int(n) for n in AROUND_A_CORNER[name].split(".")]
    allowed = {
        tuple(turned)
        for way in (expected, expected[::-1])
        for turned in (way[k:] + way[:k] for k in range(len(way)))
    }
    assert all(tuple(round_corner(body, i)) in allowed for i in range(len(body.vertices)))
    assert np.ptp(np.linalg.norm(body.vertices, axis=1)) < 1e-14


@pytest.mark.parametrize("name", SOLIDS)
def test_against_trimesh(name: str):
    body = solid(name)
    mesh = as_trimesh(body)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert volume(body) == pytest.approx(mesh.volume, rel=1e-12)
    assert area(body) == pytest.approx(mesh.area, rel=1e-12)
    assert mesh.convex_hull.volume == pytest.approx(volume(body), rel=1e-12)


@pytest.mark.parametrize("name", SOLIDS)
def test_euler_edges_and_place(name: str):
    body = solid(name)
    # Euler 1758: V - E + F = 2.
    assert len(body.vertices) - len(edges(body).ends) + len(body.faces) == 2
    assert has_equal_edges(body, 1e-14)
    assert is_convex(body)
    assert np.abs(body.vertices.mean(axis=0)).max() < 1e-14


@pytest.mark.parametrize("sides", range(3, 13))
def test_prisms_and_antiprisms(sides: int):
    # Volumes at edge 1, from memory: n / 4 cot(pi / n) for a prism, and for an antiprism
    # n sqrt(4 cos(pi / 2n)**2 - 1) sin(3 pi / 2n) / (12 sin(pi / n)**2).
    prism, antiprism = solid("prism", sides), solid("antiprism", sides)
    half = pi / (2 * sides)
    expected = sides * sqrt(4 * np.cos(half) ** 2 - 1) * np.sin(3 * half)
    assert volume(prism) == pytest.approx(sides / (4 * tan(pi / sides)))
    assert volume(antiprism) == pytest.approx(expected / (12 * np.sin(2 * half) ** 2))
    for body, kinds in (
        (prism, Counter([sides] * 2 + [4] * sides)),
        (antiprism, Counter([sides] * 2 + [3] * 2 * sides)),
    ):
        assert Counter(map(len, body.faces)) == kinds
        assert has_equal_edges(body, 1e-14)
        assert is_convex(body)
        assert volume(body) == pytest.approx(as_trimesh(body).volume)
        assert area(body) == pytest.approx(as_trimesh(body).area)


TETRAHEDRON = sqrt(2) / 12
SQUARE_PYRAMID = sqrt(2) / 6  # Johnson 1966, number 1
PENTAGONAL_PYRAMID = (5 + sqrt(5)) / 24  # number 2

# Convex solids with regular faces that steps make: base, sides, step, and from Johnson 1966, from
# memory, the number, vertices, edges and faces. Volumes add up from the parts.
JOHNSON = [
    ("tetrahedron", None, 3, 1, 12, 5, 9, 6, TETRAHEDRON * 2),
    ("prism", 3, 3, 1, 7, 7, 12, 7, sqrt(3) / 4 + TETRAHEDRON),
    ("cube", None, 4, 1, 8, 9, 16, 9, 1 + SQUARE_PYRAMID),
    ("prism", 5, 5, 1, 9, 11, 20, 11, volume(solid("prism", 5)) + PENTAGONAL_PYRAMID),
    ("antiprism", 4, 4, 1, 10, 9, 20, 13, volume(solid("antiprism", 4)) + SQUARE_PYRAMID),
    ("antiprism", 5, 5, 1, 11, 11, 25, 16, volume(solid("antiprism", 5)) + PENTAGONAL_PYRAMID),
    ("prism", 3, 3, None, 14, 8, 15, 9, sqrt(3) / 4 + 2 * TETRAHEDRON),
    ("prism", 5, 5, None, 16, 12, 25, 15, volume(solid("prism", 5)) + 2 * PENTAGONAL_PYRAMID),
    ("antiprism", 4, 4, None, 17, 10, 24, 16, volume(solid("antiprism", 4)) + 2 * SQUARE_PYRAMID),
    ("prism", 3, 4, 1, 49, 7, 13, 8, sqrt(3) / 4 + SQUARE_PYRAMID),
    ("prism", 3, 4, 2, 50, 8, 17, 11, sqrt(3) / 4 + 2 * SQUARE_PYRAMID),
    ("prism", 3, 4, None, 51, 9, 21, 14, sqrt(3) / 4 + 3 * SQUARE_PYRAMID),
    ("prism", 5, 4, 1, 52, 11, 19, 10, volume(solid("prism", 5)) + SQUARE_PYRAMID),
    ("prism", 6, 4, 1, 54, 13, 22, 11, volume(solid("prism", 6)) + SQUARE_PYRAMID),
    ("dodecahedron", None, 5, 1, 58, 21, 35, 16, (15 + 7 * sqrt(5)) / 4 + PENTAGONAL_PYRAMID),
]


@pytest.mark.parametrize("case", JOHNSON, ids=lambda case: f"number {case[4]}")
def test_raised_faces_make_johnson_solids(case):
    base, sides, raised, count, _, vertices, edge_count, faces, expected = case
    body = raise_faces(solid(base, sides), raised, count)
    assert (len(body.vertices), len(edges(body).ends), len(body.faces)) == (
        vertices,
        edge_count,
        faces,
    )
    assert volume(body) == pytest.approx(expected, rel=1e-12)
    assert is_convex(body)
    assert has_equal_edges(body)


def test_raised_pentagonal_antiprism_is_the_icosahedron():
    body = apply_steps(solid("antiprism", 5), [step_of(do="raise", sides=5)])
    assert len(body.faces) == 20
    assert np.degrees(dihedral_angles(body)) == pytest.approx(np.full(30, 138.189685), abs=1e-6)
    assert volume(body) == pytest.approx(5 * (3 + sqrt(5)) / 12)
