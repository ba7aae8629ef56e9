"""Joints: where two panels meet edge to edge, and at what angle; and the rims of openings."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.shape.polyhedron import Polyhedron, dihedral_angles, edges

FLAT = 1e-6
"""How far from half a turn a joint may be and still be called flat, radians."""


class Joints(NamedTuple):
    """Every joint of a body, each once.

    panels: (j, 2) int, the panels to the left and right of the way from the first end to the
    second, seen from outside; ends: (j, 2, 3) float, in the body's unit; angles: (j,) float,
    radians inside the body, below pi at a ridge and above it in a valley.
    """

    panels: np.ndarray
    ends: np.ndarray
    angles: np.ndarray


class Rims(NamedTuple):
    """Panel edges that no other panel meets, at openings.

    panels: (r,) int; ends: (r, 2, 3) float, in the body's unit.
    """

    panels: np.ndarray
    ends: np.ndarray


class AngleKind(NamedTuple):
    """Joints that are all alike. sides: of the two panels, the fewer first; angle: radians inside
    the body; count: how many.
    """

    sides: tuple[int, int]
    angle: float
    count: int


def joints(body: Polyhedron) -> Joints:
    """Which panels meet at which edges, and at what angle."""
    ends, faces = edges(body)
    both = (faces >= 0).all(axis=1)
    return Joints(faces[both], body.vertices[ends[both]], dihedral_angles(body)[both])


def rims(body: Polyhedron) -> Rims:
    """The panel edges around openings."""
    ends, faces = edges(body)
    single = (faces < 0).any(axis=1)
    return Rims(faces[single].max(axis=1), body.vertices[ends[single]])


def neighbours(body: Polyhedron) -> list[list[int]]:
    """For each panel the panels that meet it, by number, each as often as they share an edge."""
    found: list[list[int]] = [[] for _ in body.faces]
    for left, right in joints(body).panels.tolist():
        found[left].append(right)
        found[right].append(left)
    return [sorted(row) for row in found]


def angle_kinds(body: Polyhedron, decimals: int = 6) -> list[AngleKind]:
    """Joints counted by the sides of their panels and their angle, sharpest ridge first.

    decimals: of a radian, to which two angles are alike.
    """
    found = joints(body)
    sides = np.array([len(face) for face in body.faces])
    pairs = np.sort(sides[found.panels], axis=1)
    rows = np.column_stack([np.round(found.angles, decimals), pairs])
    kinds, which, counts = np.unique(rows, axis=0, return_inverse=True, return_counts=True)
    sums = np.bincount(which.ravel(), weights=found.angles, minlength=len(kinds))
    return [
        AngleKind((int(row[1]), int(row[2])), float(total / count), int(count))
        for row, total, count in zip(kinds, sums, counts, strict=True)
    ]


def flat_joints(body: Polyhedron) -> int:
    """How many joints lie flat, so that their panels share a plane."""
    return int((np.abs(joints(body).angles - np.pi) < FLAT).sum())
