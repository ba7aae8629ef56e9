"""How much of a lens a flat cut-out covers, seen from a point: the share and its centroid."""

from __future__ import annotations

import math

from glint.optics.compile import kernel
from glint.optics.disc import arcs, chord


@kernel
def _on_lens(x, y, z, px, py, pz):
    """A point of a cut-out projected from (px, py, pz) onto the lens plane."""
    scale = 1.0 / (pz - z)
    return (x * pz - px * z) * scale, (y * pz - py * z) * scale


@kernel
def near_rim(edges, px, py, pz, reach, radius, found):
    """Edges that may cross the lens as seen from anywhere in a sphere: their number, or -1.

    edges: (e, 2, 3) float and the sphere's middle (px, py, pz) are in the lens frame; reach is
    the sphere's radius. found: (>= e,) int, written. -1 where part of the sphere is not beyond
    the cut-out, which then shades none of it.

    A step of the eye moves the image of an edge point at depth z by z / (pz - z) times the step
    across and, for a step along the axis, times the slope of the line of sight.
    """
    number = 0
    for e in range(edges.shape[0]):
        for side in range(2):
            if pz - reach <= edges[e, side, 2] * (1.0 + 1e-9):
                return -1
        ax, ay = _on_lens(edges[e, 0, 0], edges[e, 0, 1], edges[e, 0, 2], px, py, pz)
        bx, by = _on_lens(edges[e, 1, 0], edges[e, 1, 1], edges[e, 1, 2], px, py, pz)
        slack = 0.0
        for side in range(2):
            z = edges[e, side, 2]
            slope_x, slope_y = (px - edges[e, side, 0]), (py - edges[e, side, 1])
            slope = math.sqrt(slope_x * slope_x + slope_y * slope_y) + reach
            slack = max(slack, reach * z / (pz - reach - z) * (1.0 + slope / (pz - reach - z)))
        dx, dy = bx - ax, by - ay
        dd = dx * dx + dy * dy
        t = 0.0
        if dd > 0.0:
            t = min(max(-(ax * dx + ay * dy) / dd, 0.0), 1.0)
        x, y = ax + t * dx, ay + t * dy
        if x * x + y * y <= (radius + slack) ** 2:
            found[number] = e
            number += 1
    return number


@kernel
def surrounds(edges, px, py, pz):
    """Whether the lens centre lies behind the cut-out: edges crossed on the way out are odd."""
    inside = False
    for e in range(edges.shape[0]):
        ax, ay = _on_lens(edges[e, 0, 0], edges[e, 0, 1], edges[e, 0, 2], px, py, pz)
        bx, by = _on_lens(edges[e, 1, 0], edges[e, 1, 1], edges[e, 1, 2], px, py, pz)
        if (ay > 0.0) != (by > 0.0) and ax + (bx - ax) * ay / (ay - by) > 0.0:
            inside = not inside
    return inside


@kernel
def covered(edges, near, number, px, py, pz, radius):
    """Share of a lens that a cut-out covers, seen from a point, and the covered part's centroid.

    edges: (e, 2, 3) float, the covered side on their left, and the point are in the lens frame;
    near: (number,) int, the edges that may cross the lens. Area and moments of the common part
    are those of chords and of arcs between them, as in `penumbra`; outlines may have any form,
    holes too.
    """
    square = radius * radius
    total = mx = my = 0.0
    rim_x = rim_y = 0.0
    re, im = 1.0, 0.0
    crossed = False
    for n in range(number):
        e = near[n]
        ax, ay = _on_lens(edges[e, 0, 0], edges[e, 0, 1], edges[e, 0, 2], px, py, pz)
        bx, by = _on_lens(edges[e, 1, 0], edges[e, 1, 1], edges[e, 1, 2], px, py, pz)
        met, ax, ay, bx, by, enters, leaves = chord(ax, ay, bx, by, square)
        if not met:
            continue
        cross = ax * by - ay * bx
        total += cross
        mx += cross * (ax + bx)
        my += cross * (ay + by)
        if enters:
            crossed = True
            re, im = (re * ax - im * ay) / radius, (re * ay + im * ax) / radius
            rim_x, rim_y = rim_x + ax, rim_y + ay
        if leaves:
            crossed = True
            re, im = (re * bx + im * by) / radius, (im * bx - re * by) / radius
            rim_x, rim_y = rim_x - bx, rim_y - by
    total, mx, my = 0.5 * total, mx / 6.0, my / 6.0
    if crossed:
        total += 0.5 * square * arcs(re, im)
        mx += square * rim_y / 3.0
        my -= square * rim_x / 3.0
    elif total == 0.0:
        return (1.0, 0.0, 0.0) if surrounds(edges, px, py, pz) else (0.0, 0.0, 0.0)
    elif total < 0.0:
        # Nothing but holes inside the rim: all the rest is covered.
        total += math.pi * square
    share = total / (math.pi * square)
    if share <= 1e-12:
        return 0.0, 0.0, 0.0
    return min(share, 1.0), mx / total, my / total
