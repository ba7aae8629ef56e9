"""Windows less the shadows that fall on them."""

from __future__ import annotations

import numpy as np

from glint.kernels.geometry.convex_polygon import (
    SLIVER,
    area,
    cone_planes,
    copy,
    cut_cone_out,
    keep_side,
    misses_cone,
)
from glint.kernels.runtime.jit import kernel

TOO_MANY = -1
"""Answer where a window falls into more pieces than there is room for."""


# Numbers of a known type, where Python's own True, False and 1 would each have their own compiling.
BEFORE, BEYOND = np.bool_(True), np.bool_(False)
"""Whether a blocker stands between the apex and the window, or beyond it."""


@kernel
def subtract_shadow(pieces, counts, used, apex, blocker, blocker_count, before, work):
    """Take the shadow that a blocker throws from the apex out of every piece, in place.

    pieces: (m, MOST_CORNERS, 3) float; counts: (m,) int; blocker: (MOST_CORNERS, 3) float.
    before: whether the blocker must stand between the apex and the piece to shade it; if not, it
    stands beyond, and the piece is what light must pass on its way to it.
    work: (4, MOST_CORNERS, 3) float. Returns the pieces now in use, or TOO_MANY.
    """
    planes, spare, far, near = work[0], work[1], work[2], work[3]
    if not cone_planes(apex, blocker, blocker_count, planes):
        return used
    ax, ay, az = (
        blocker[1, 0] - blocker[0, 0],
        blocker[1, 1] - blocker[0, 1],
        blocker[1, 2] - blocker[0, 2],
    )
    bx, by, bz = (
        blocker[2, 0] - blocker[0, 0],
        blocker[2, 1] - blocker[0, 1],
        blocker[2, 2] - blocker[0, 2],
    )
    nx, ny, nz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
    length = (nx * nx + ny * ny + nz * nz) ** 0.5
    if length == 0.0:
        return used
    nx, ny, nz = nx / length, ny / length, nz / length
    offset = nx * blocker[0, 0] + ny * blocker[0, 1] + nz * blocker[0, 2]
    beyond = -1.0 if nx * apex[0] + ny * apex[1] + nz * apex[2] > offset else 1.0
    p = 0
    last = used
    while p < last:
        far_count = counts[p]
        if before:
            far_count = keep_side(pieces[p], counts[p], nx, ny, nz, offset, beyond, far)
        else:
            copy(pieces[p], counts[p], far)
        # Most that are missed are beyond one plane; the others are cut in vain.
        shaded = 0
        if far_count > 0 and not misses_cone(apex, planes, blocker_count, far, far_count):
            used, shaded = cut_cone_out(
                far, far_count, apex, planes, blocker_count, pieces, counts, used, spare
            )
        if used < 0:
            return TOO_MANY
        if shaded == 0:
            p += 1
            continue
        near_count = 0
        if before:
            near_count = keep_side(pieces[p], counts[p], nx, ny, nz, offset, -beyond, near)
            if near_count > 0 and area(near, near_count) <= SLIVER:
                near_count = 0
        if used + 1 > pieces.shape[0]:
            return TOO_MANY
        if near_count > 0:
            copy(near, near_count, pieces[used])
            counts[used] = near_count
            used += 1
        # The piece itself is gone: the newest takes its place, and the last untouched one
        # moves up so that pieces still to be looked at stay together.
        last -= 1
        used -= 1
        if p < last:
            copy(pieces[last], counts[last], pieces[p])
            counts[p] = counts[last]
        if last < used:
            copy(pieces[used], counts[used], pieces[last])
            counts[last] = counts[used]
    return used


@kernel
def front_part(corners, count, normal, anchor, kept):
    """The part of a polygon in front of a plane; returns its corners."""
    offset = normal[0] * anchor[0] + normal[1] * anchor[1] + normal[2] * anchor[2]
    return keep_side(corners, count, normal[0], normal[1], normal[2], offset, 1.0, kept)
