"""How much of a round lens a window uncovers: area and centroid of polygon and disc together."""

from __future__ import annotations

import math

from glint.optics.compile import kernel


@kernel
def edge_in_disc(ax, ay, bx, by, radius):
    """One polygon edge's share of the area of polygon and disc in common, and of its moments.

    The disc is centred at the origin. Along the edge from a to b, the triangle (origin, a, b) is
    cut by the circle into at most two sectors and one triangle; signed areas and first moments of
    these add up over the edges of any simple polygon, holes included (Green's theorem).
    Returns (area, x moment, y moment).
    """
    square = radius * radius
    dx, dy = bx - ax, by - ay
    aa = ax * ax + ay * ay
    bb = bx * bx + by * by
    if aa <= square and bb <= square:
        cross = 0.5 * (ax * by - ay * bx)
        return cross, cross * (ax + bx) / 3.0, cross * (ay + by) / 3.0
    dd = dx * dx + dy * dy
    along = ax * dx + ay * dy
    root = along * along - dd * (aa - square)
    first, second = 2.0, -1.0
    if root > 0.0:
        root = math.sqrt(root)
        first = (-along - root) / dd
        second = (-along + root) / dd
    if first >= 1.0 or second <= 0.0 or second <= first:
        return sector(ax, ay, bx, by, radius)
    total, mx, my = 0.0, 0.0, 0.0
    px, py, qx, qy = ax, ay, bx, by
    if first > 0.0:
        px, py = ax + first * dx, ay + first * dy
        s, sx, sy = sector(ax, ay, px, py, radius)
        total, mx, my = total + s, mx + sx, my + sy
    if second < 1.0:
        qx, qy = ax + second * dx, ay + second * dy
        s, sx, sy = sector(qx, qy, bx, by, radius)
        total, mx, my = total + s, mx + sx, my + sy
    cross = 0.5 * (px * qy - py * qx)
    return total + cross, mx + cross * (px + qx) / 3.0, my + cross * (py + qy) / 3.0


@kernel
def sector(ax, ay, bx, by, radius):
    """Area and first moments of the disc's sector from direction a to direction b."""
    angle = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
    a, b = math.sqrt(ax * ax + ay * ay), math.sqrt(bx * bx + by * by)
    third = radius * radius * radius / 3.0
    return (
        0.5 * radius * radius * angle,
        third * (by / b - ay / a),
        third * (ax / a - bx / b),
    )


@kernel
def uncovered(xs, ys, count, radius):
    """Share of a disc that lies inside a convex polygon, and the centroid of that part.

    xs, ys: (>= count,) float, corners in either sense of rotation; the disc is centred at the
    origin. Returns (share 0..1, x, y). The two commonest cases, polygon inside the disc and disc
    inside the polygon, need neither root nor arc.
    """
    square = radius * radius
    whole_in_disc = True
    turn = 0.0
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        if xs[i] * xs[i] + ys[i] * ys[i] > square:
            whole_in_disc = False
        turn += xs[i] * ys[j] - ys[i] * xs[j]
    sense = 1.0 if turn > 0.0 else -1.0
    if not whole_in_disc:
        disc_inside = True
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            dx, dy = xs[j] - xs[i], ys[j] - ys[i]
            cross = sense * (xs[i] * ys[j] - ys[i] * xs[j])
            far = cross * cross >= square * (dx * dx + dy * dy)
            if cross < 0.0 and far:
                return 0.0, 0.0, 0.0
            if cross < 0.0 or not far:
                disc_inside = False
        if disc_inside:
            return 1.0, 0.0, 0.0
    total = mx = my = 0.0
    if whole_in_disc:
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            cross = xs[i] * ys[j] - ys[i] * xs[j]
            total += cross
            mx += cross * (xs[i] + xs[j])
            my += cross * (ys[i] + ys[j])
        total, mx, my = 0.5 * total, mx / 6.0, my / 6.0
    else:
        for i in range(count):
            j = i + 1 if i + 1 < count else 0
            part, px, py = edge_in_disc(xs[i], ys[i], xs[j], ys[j], radius)
            total += part
            mx += px
            my += py
    total *= sense
    if total <= 1e-12 * square:
        return 0.0, 0.0, 0.0
    return min(total / (math.pi * square), 1.0), sense * mx / total, sense * my / total
