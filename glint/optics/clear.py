"""Whether a pane's light misses a ball of space: finer than a round cone, for long thin panes."""

from __future__ import annotations

import math

from glint.optics.compile import kernel


@kernel
def is_clear(corners, radius, ball, sphere, more, apex, frame):
    """Whether no point of a sphere sees any of the lens through a pane.

    corners: (3, 4) float, m, as in Panes; radius: of the lens, m; ball: as `sphere` in Lamps;
    sphere: (4,) float, m, of a radius larger by `more`. From the sphere's middle the pane's edges
    are projected onto the lens plane. A step of the eye moves a point of the pane at depth z on
    that plane by z / (h - z) times the step across, and, for a step along the axis, times the slope
    of the line of sight as well (see `shade.near_rim`). Where the lens, grown by that, lies beyond
    one edge, nothing is seen. A ball fills, on the lens plane, no more than a disc larger by the
    cosine of the angle at which it is seen (see `outlook`).
    """
    reach = sphere[3] + more
    dx, dy, dz = sphere[0] - apex[0], sphere[1] - apex[1], sphere[2] - apex[2]
    px = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
    py = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
    pz = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
    if pz <= reach:
        return False
    slack = 0.0
    for i in range(4):
        z = corners[2, i]
        room = pz - reach - z
        if room <= 0.0:
            return False
        sx, sy = px - corners[0, i], py - corners[1, i]
        slope = (math.sqrt(sx * sx + sy * sy) + reach) / room
        slack = max(slack, reach * z / room * (1.0 + slope))
    slope = (math.sqrt(px * px + py * py + pz * pz) + reach) / (pz - reach)
    grown = radius * (1.0 + ball * (slope - 1.0)) + slack
    for i in range(4):
        j = (i + 1) % 4
        scale = 1.0 / (pz - corners[2, i])
        ax = (corners[0, i] * pz - px * corners[2, i]) * scale
        ay = (corners[1, i] * pz - py * corners[2, i]) * scale
        scale = 1.0 / (pz - corners[2, j])
        bx = (corners[0, j] * pz - px * corners[2, j]) * scale
        by = (corners[1, j] * pz - py * corners[2, j]) * scale
        cross = ax * by - ay * bx
        if cross < 0.0 and cross * cross > grown * grown * ((bx - ax) ** 2 + (by - ay) ** 2):
            return True
    return False
