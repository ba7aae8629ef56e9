"""Bodies put where they hang: points and normals turned, and points moved."""

from __future__ import annotations

from glint.kernels.runtime.jit import kernel


@kernel
def stand(corners, normals, turn, centre, first, last, put, facing):
    """Turn and move the polygons from first to last of many.

    corners: (n, V, 3) float, m, and normals: (n, 3) float, of a body at rest about its middle;
    turn: (3, 3) float, a rotation; centre: (3,) float, m. put, facing: of the same forms as corners
    and normals, written.
    """
    for i in range(first, last):
        for k in range(3):
            a, b, c = turn[k, 0], turn[k, 1], turn[k, 2]
            facing[i, k] = a * normals[i, 0] + b * normals[i, 1] + c * normals[i, 2]
            for v in range(corners.shape[1]):
                x, y, z = corners[i, v, 0], corners[i, v, 1], corners[i, v, 2]
                put[i, v, k] = a * x + b * y + c * z + centre[k]
