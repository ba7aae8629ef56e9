"""How much of a round lens a window uncovers: area and centroid of polygon and disc together."""

from __future__ import annotations

import math

from glint.optics.compile import kernel

GRAZING = 1e-14
"""A chord is none if the square of its half length is below this share of the disc's radius
squared."""


@kernel
def chord(ax, ay, bx, by, square):
    """The part of an edge from a to b inside the disc about the origin, `square` its radius
    squared: (met, px, py, qx, qy, enters, leaves). It enters or leaves where an end is outside.
    """
    aa, bb = ax * ax + ay * ay, bx * bx + by * by
    enters, leaves = aa > square, bb > square
    if not enters and not leaves:
        return True, ax, ay, bx, by, False, False
    dx, dy = bx - ax, by - ay
    dd = dx * dx + dy * dy
    along = ax * dx + ay * dy
    root = along * along - dd * (aa - square)
    if enters and leaves and (along >= 0.0 or -along >= dd or root <= GRAZING * dd * square):
        return False, ax, ay, bx, by, False, False
    root = math.sqrt(max(root, 0.0))
    px, py, qx, qy = ax, ay, bx, by
    if enters:
        t = (-along - root) / dd
        px, py = ax + t * dx, ay + t * dy
    if leaves:
        t = (-along + root) / dd
        qx, qy = ax + t * dx, ay + t * dy
    return True, px, py, qx, qy, enters, leaves


@kernel
def arcs(re, im):
    """Angle of all arcs of a disc's rim inside a region, rad, 0 to 2 pi.

    re, im: the product of the points, as complex numbers, where the region's boundary enters the
    disc, times the conjugates of those where it leaves: each arc runs from where the boundary
    leaves to where it enters again, so their sum is the argument of that, up to whole turns.
    """
    angle = math.atan2(im, re)
    if angle < -1e-9:
        return angle + 2.0 * math.pi
    return max(angle, 0.0)


@kernel
def uncovered(xs, ys, count, radius):
    """Share of a disc that lies inside a convex polygon, and the centroid of that part.

    xs, ys: (>= count,) float, corners, anticlockwise (clockwise ones leave nothing); the disc is
    centred at the origin. Returns (share 0..1, x, y). Area and moments are those of the triangles from the
    centre to each chord and of the sectors between chords (Green's theorem); the sectors' angles
    need one arc tangent together. Polygon inside the disc and disc inside the polygon need none.
    """
    square = radius * radius
    within, disc_inside, centre_inside = True, True, True
    turn = 0.0
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        dx, dy = xs[j] - xs[i], ys[j] - ys[i]
        cross = xs[i] * ys[j] - ys[i] * xs[j]
        turn += cross
        far = cross * cross >= square * (dx * dx + dy * dy)
        if cross < 0.0:
            if far:
                return 0.0, 0.0, 0.0
            centre_inside = False
        if cross < 0.0 or not far:
            disc_inside = False
        if xs[i] * xs[i] + ys[i] * ys[i] > square:
            within = False
    if turn <= 0.0:
        return 0.0, 0.0, 0.0
    if disc_inside and not within:
        return 1.0, 0.0, 0.0
    total = mx = my = 0.0
    rim_x = rim_y = 0.0
    re, im = 1.0, 0.0
    some = crossed = False
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        met, px, py, qx, qy, enters, leaves = chord(xs[i], ys[i], xs[j], ys[j], square)
        if not met:
            continue
        some = True
        cross = px * qy - py * qx
        total += cross
        mx += cross * (px + qx)
        my += cross * (py + qy)
        if enters:
            crossed = True
            re, im = (re * px - im * py) / radius, (re * py + im * px) / radius
            rim_x, rim_y = rim_x + px, rim_y + py
        if leaves:
            crossed = True
            re, im = (re * qx + im * qy) / radius, (im * qx - re * qy) / radius
            rim_x, rim_y = rim_x - qx, rim_y - qy
    if not some:
        return (1.0, 0.0, 0.0) if centre_inside else (0.0, 0.0, 0.0)
    total, mx, my = 0.5 * total, mx / 6.0, my / 6.0
    if crossed:
        total += 0.5 * square * arcs(re, im)
        mx += square * rim_y / 3.0
        my -= square * rim_x / 3.0
    if total <= 1e-12 * square:
        return 0.0, 0.0, 0.0
    return min(total / (math.pi * square), 1.0), mx / total, my / total
