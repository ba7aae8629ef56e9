"""The geodesic sphere: the icosahedron's faces cut into small triangles and blown up to a sphere.

Class I of the usual notation: the triangles' edges run along those of the icosahedron. They are not
all alike, so their tiles are cut to size.
"""

from __future__ import annotations

import numpy as np

from glint.shape import polygons
from glint.shape.bases.base import Base, register, solid
from glint.shape.polyhedron import Polyhedron


def geodesic(base: Polyhedron, frequency: int) -> Polyhedron:
    """Every triangle of `base` cut into frequency**2, every corner moved out to distance 1.

    base: triangles only, about the origin. Its own corners come first and keep their numbers; the
    small triangles of one face stand together.
    """
    weights, small = _subdivided(frequency)
    owners = np.array(base.faces)
    # A point is known by the corners that it lies between and their weights, so that faces that
    # share an edge share its points, to the last bit.
    corners = np.broadcast_to(owners[:, None], (len(owners), *weights.shape))
    shares = np.broadcast_to(weights, corners.shape)
    code = np.where(shares > 0, corners * (frequency + 1) + shares, 0)
    code = np.sort(code.reshape(-1, 3), axis=1)
    _, first, number = np.unique(code, axis=0, return_index=True, return_inverse=True)
    # `unique` sorts by code, and a corner of the base, which is all one weight, comes first.
    mixed = shares.reshape(-1, 3)[first, :, None] * base.vertices[corners.reshape(-1, 3)[first]]
    faces = number.reshape(len(owners), len(weights))[:, small].reshape(-1, 3)
    return Polyhedron(polygons.unit(mixed.sum(axis=1)), tuple(map(tuple, faces.tolist())))


def _subdivided(frequency: int) -> tuple[np.ndarray, np.ndarray]:
    """One triangle cut up: the whole-number weights (p, 3) of its points, which add up to
    `frequency`, and the small triangles (frequency**2, 3) as point numbers, turning as it does.
    """
    rows = [(i, j) for i in range(frequency + 1) for j in range(frequency + 1 - i)]
    number = {place: k for k, place in enumerate(rows)}
    weights = np.array([(frequency - i - j, i, j) for i, j in rows])
    upright = [
        (number[i, j], number[i + 1, j], number[i, j + 1]) for i, j in rows if i + j < frequency
    ]
    inverted = [
        (number[i + 1, j], number[i + 1, j + 1], number[i, j + 1])
        for i, j in rows
        if i + j < frequency - 1
    ]
    return weights, np.array(upright + inverted)


register(
    Base(
        "geodesic",
        lambda sides: solid("icosahedron"),
        needs=("diameter_m", "frequency"),
        tiling="cut to size",
        refined=geodesic,
        words=lambda sides: "geodesic sphere",
        listed=(),
    )
)
