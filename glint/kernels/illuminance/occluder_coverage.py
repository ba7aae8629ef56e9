"""How much of a lens a flat cut-out covers, seen from a point: the share and its centroid."""

from __future__ import annotations

import math

from glint.kernels.geometry.disc_clipping import arcs, chord
from glint.kernels.runtime.jit import kernel


@kernel
def _on_lens(x, y, z, px, py, pz):
    """A point of a cut-out projected from (px, py, pz) onto the lens plane."""
    scale = 1.0 / (pz - z)
    return (x * pz - px * z) * scale, (y * pz - py * z) * scale


@kernel
def ring_about(edges, ring):
    """Circles about the middle of a cut-out, inside and outside of its rim.

    edges: (e, 2, 3) float, in the lens frame. ring: (5,) float, written: the middle, its depth,
    and the radii of the largest circle that is covered and of the least that holds all. A tilted
    cut-out has none that is covered, and an endless one that holds all.
    """
    ring[:] = 0.0
    count = edges.shape[0]
    for e in range(count):
        for k in range(3):
            ring[k] += edges[e, 0, k] / count
    least, most, tilt = 1e300, 0.0, 0.0
    for e in range(count):
        ax, ay = edges[e, 0, 0] - ring[0], edges[e, 0, 1] - ring[1]
        dx, dy = edges[e, 1, 0] - ring[0] - ax, edges[e, 1, 1] - ring[1] - ay
        dd = dx * dx + dy * dy
        t = min(max(-(ax * dx + ay * dy) / dd, 0.0), 1.0) if dd > 0.0 else 0.0
        least = min(least, (ax + t * dx) ** 2 + (ay + t * dy) ** 2)
        most = max(most, ax * ax + ay * ay)
        tilt = max(tilt, abs(edges[e, 0, 2] - ring[2]))
    if tilt > 1e-9 * ring[2]:
        ring[4] = 1e300
        return
    ring[4] = math.sqrt(most)
    if surrounds(edges, ring[0] * 2.0, ring[1] * 2.0, ring[2] * 2.0):
        ring[3] = math.sqrt(least)


@kernel
def is_flat(ring):
    """Whether a cut-out is parallel to the lens; see `ring_about`."""
    return ring[4] < 1e299


@kernel
def _image_of_lens(ring, px, py, pz, reach, radius):
    """Where a sphere's middle sees the lens on the plane of a flat cut-out, and how far from there
    any point of the sphere may see any of it: x, y, m, and that distance, m."""
    nearer = ring[2] / pz
    slope = (math.sqrt(px * px + py * py) + reach) / (pz - reach)
    slack = radius * (1.0 - nearer) + reach * ring[2] / (pz - reach) * (1.0 + slope)
    return px * nearer, py * nearer, slack


@kernel
def at_a_glance(ring, px, py, pz, reach, radius):
    """What a cut-out covers of the lens, seen from anywhere in a sphere: 1 all, 0 nothing, -1 to
    be looked at more closely. See `ring_about` and `near_rim` for the arguments."""
    if not is_flat(ring) or pz - reach <= ring[2]:
        return -1
    x, y, slack = _image_of_lens(ring, px, py, pz, reach, radius)
    away = math.sqrt((x - ring[0]) ** 2 + (y - ring[1]) ** 2)
    if away + slack < ring[3]:
        return 1
    return 0 if away - slack > ring[4] else -1


@kernel
def _away(ax, ay, bx, by):
    """Square of the distance of the origin from the line between two points."""
    dx, dy = bx - ax, by - ay
    dd = dx * dx + dy * dy
    t = -(ax * dx + ay * dy)
    t = min(max(t / dd, 0.0), 1.0) if dd > 0.0 else 0.0
    x, y = ax + t * dx, ay + t * dy
    return x * x + y * y


@kernel
def near_rim(edges, ring, px, py, pz, reach, radius, found):
    """Edges that may cross the lens as seen from anywhere in a sphere: their number, or -1.

    edges: (e, 2, 3) float and the sphere's middle (px, py, pz) are in the lens frame; reach is
    the sphere's radius; ring: of `ring_about`. found: (>= e,) int, written. -1 where part of the
    sphere is not beyond the cut-out, which then shades none of it.

    A step of the eye moves the image of an edge point at depth z by z / (pz - z) times the step
    across and, for a step along the axis, times the slope of the line of sight.
    """
    number = 0
    if is_flat(ring):
        if pz - reach <= ring[2] * (1.0 + 1e-9):
            return -1
        x, y, slack = _image_of_lens(ring, px, py, pz, reach, radius)
        square = slack * slack
        for e in range(edges.shape[0]):
            ax, ay = edges[e, 0, 0] - x, edges[e, 0, 1] - y
            bx, by = edges[e, 1, 0] - x, edges[e, 1, 1] - y
            found[number] = e
            number += _away(ax, ay, bx, by) <= square
        return number
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
        if _away(ax, ay, bx, by) <= (radius + slack) ** 2:
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
def _across(edges, near, number, x, y, to_x, to_y):
    """Whether an odd number of the near edges of a flat cut-out lies between two points."""
    odd = False
    vx, vy = to_x - x, to_y - y
    for n in range(number):
        e = near[n]
        ax, ay = edges[e, 0, 0] - x, edges[e, 0, 1] - y
        bx, by = edges[e, 1, 0] - x, edges[e, 1, 1] - y
        if (vx * ay - vy * ax > 0.0) != (vx * by - vy * bx > 0.0):
            dx, dy = bx - ax, by - ay
            t = (ax * dy - ay * dx) / (vx * dy - vy * dx)
            odd ^= (t > 0.0) & (t < 1.0)
    return odd


@kernel
def _hides(edges, near, number, x, y, px, py, pz, seen):
    """Whether a flat cut-out that no edge of crosses the lens hides it; (x, y): the lens's image.

    All edges are asked once a sphere; from there on it is enough to know which of those near lie
    between one image and the next. seen: see `covered`.
    """
    if seen[0] < 0.0:
        seen[0] = 1.0 if surrounds(edges, px, py, pz) else 0.0
        seen[1], seen[2] = x, y
    return (seen[0] > 0.0) != _across(edges, near, number, seen[1], seen[2], x, y)


@kernel
def covered(edges, ring, near, number, px, py, pz, radius, seen):
    """Share of a lens that a cut-out covers, seen from a point, and the covered part's centroid.

    edges: (e, 2, 3) float, the covered side on their left, and the point are in the lens frame;
    ring: (5,) float, as in `ring_about`; near: (number,) int, the edges that may cross the lens.
    seen: (3,) float, whether the lens is hidden, or less than 0 if nobody knows, as some point of
    the same sphere sees it, and where that one sees it; written.
    A flat cut-out is looked at on its own plane, where its edges stay in place, and any other on
    the lens's. Area and moments of the common part are those of chords and of arcs between them,
    as in `penumbra`; silhouettes may have any form, holes too.
    """
    flat = is_flat(ring)
    nearer = ring[2] / pz if flat else 0.0
    x, y, size = px * nearer, py * nearer, radius * (1.0 - nearer)
    if flat:
        away = math.sqrt((x - ring[0]) ** 2 + (y - ring[1]) ** 2)
        if away + size < ring[3]:
            return 1.0, 0.0, 0.0
        if away - size > ring[4]:
            return 0.0, 0.0, 0.0
    square = size * size
    total = mx = my = 0.0
    rim_x = rim_y = 0.0
    re, im = 1.0, 0.0
    crossed = False
    for n in range(number):
        e = near[n]
        if flat:
            ax, ay = edges[e, 0, 0] - x, edges[e, 0, 1] - y
            bx, by = edges[e, 1, 0] - x, edges[e, 1, 1] - y
        else:
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
            re, im = (re * ax - im * ay) / size, (re * ay + im * ax) / size
            rim_x, rim_y = rim_x + ax, rim_y + ay
        if leaves:
            crossed = True
            re, im = (re * bx + im * by) / size, (im * bx - re * by) / size
            rim_x, rim_y = rim_x - bx, rim_y - by
    total, mx, my = 0.5 * total, mx / 6.0, my / 6.0
    if crossed:
        total += 0.5 * square * arcs(re, im)
        mx += square * rim_y / 3.0
        my -= square * rim_x / 3.0
    elif total == 0.0:
        if flat:
            hidden = _hides(edges, near, number, x, y, px, py, pz, seen)
        else:
            hidden = surrounds(edges, px, py, pz)
        return (1.0, 0.0, 0.0) if hidden else (0.0, 0.0, 0.0)
    elif total < 0.0:
        # Nothing but holes inside the rim: all the rest is covered.
        total += math.pi * square
    share = total / (math.pi * square)
    if share <= 1e-12:
        return 0.0, 0.0, 0.0
    scale = radius / (size * total)
    return min(share, 1.0), scale * mx, scale * my
