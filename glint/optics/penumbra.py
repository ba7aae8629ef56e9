"""Illuminance through one pane at many points at once, with the penumbra of the round lens.

How much of the lens a point sees is the area of the pane, projected from the point onto the lens
plane, in common with the lens. Area and moments are those of the triangles from the lens centre to
the pane's edges inside the rim, and of the sectors between those (Green's theorem). Here they are
reckoned in units of the lens radius and without branches, so that a processor takes several points
in one step.
"""

from __future__ import annotations

import math

import numba
import numpy as np

from glint.optics.candela import looked_up
from glint.optics.compile import kernel
from glint.optics.disc import GRAZING, angle_of
from glint.optics.outlook import drawn_in, drawn_out

MANY = 160
"""Most points at once."""

STEP = 8
"""A divisor of MANY, and a multiple of the points that a processor takes at once."""

SMALLEST_LENS = 1e-9
"""A point source is a lens of this radius, m."""


ROWS = 15
"""Rows of the workplace: an array (ROWS, MANY) float that holds points and all about them.

0 to 5: place (m) and normal of each point, in the (mirrored) lens frame, written by
    `into_frame`
6 to 13: twice the area of the triangles, in squares of the lens radius; six times their moments
    and three times those of the sectors, in x and in y; real and imaginary part as in
    `disc.arcs`; how often edges cross the rim; twice the projected pane's area, below zero behind
    the pane; twice the least area of the triangles from the lens centre to its edges, below zero
    if that is outside. Then, in place of these, what follows from them
14: illuminance, lx, what comes out
"""

LUX = 14


@kernel
def workplace():
    """Room for MANY points."""
    return np.zeros((ROWS, MANY))


@kernel
def into_frame(work, points, chosen, number, apex, frame):
    """Put chosen points, with their normals, in the first `number` places of a workplace.

    points: (7 or more, p) float, m, points in rows 0 to 2 and unit normals in rows 4 to 6, in the
    room's frame; chosen: (number or more,) int, which of them; apex (3,), frame (3, 3): of the
    (mirrored) lens.
    """
    ax, ay, az = apex[0], apex[1], apex[2]
    xx, xy, xz = frame[0, 0], frame[0, 1], frame[0, 2]
    yx, yy, yz = frame[1, 0], frame[1, 1], frame[1, 2]
    zx, zy, zz = frame[2, 0], frame[2, 1], frame[2, 2]
    px, py, pz, nx, ny, nz = work[0], work[1], work[2], work[3], work[4], work[5]
    gx, gy, gz, gu, gv, gw = points[0], points[1], points[2], points[4], points[5], points[6]
    for t in range(number):
        p = chosen[t]
        x, y, z, u, v, w = gx[p] - ax, gy[p] - ay, gz[p] - az, gu[p], gv[p], gw[p]
        px[t] = xx * x + xy * y + xz * z
        py[t] = yx * x + yy * y + yz * z
        pz[t] = zx * x + zy * y + zz * z
        nx[t] = xx * u + xy * v + xz * w
        ny[t] = yx * u + yy * v + yz * w
        nz[t] = zx * u + zy * v + zz * w


@numba.njit(inline="always")
def _edge(ax, ay, bx, by, area, mx, my, re, im, crossings, turn, least):
    """Add one projected edge, from a to b, to what a pane has in common with the lens."""
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    along = ax * dx + ay * dy
    cross = ax * by - ay * bx
    root = square - cross * cross
    half = math.sqrt(root if root > 0.0 else 0.0)
    whole = 1.0 / (square + 1e-300)
    # Both edges of a corner find it on the same side of the rim, so entries and exits match.
    a_out = ax * ax + ay * ay > 1.0
    b_out = bx * bx + by * by > 1.0
    start = (-along - half) * whole if a_out else 0.0
    end = (-along + half) * whole if b_out else 1.0
    apart = (along >= 0.0) | (along <= -square) | (root <= GRAZING * square)
    met = 0.0 if a_out & b_out & apart else 1.0
    enters = met if a_out else 0.0
    leaves = met if b_out else 0.0
    px, py, qx, qy = ax + start * dx, ay + start * dy, ax + end * dx, ay + end * dy
    part = (px * qy - py * qx) * met
    # Where the rim is crossed: 1 stands for no point, and turns nothing.
    ex, ey, lx, ly = px * enters, py * enters, qx * leaves, qy * leaves
    ur, ui = ex + (1.0 - enters), ey
    vr, vi = lx + (1.0 - leaves), ly
    wr, wi = ur * vr + ui * vi, ui * vr - ur * vi
    return (
        area + part,
        mx + part * (px + qx) + 2.0 * (ey - ly),
        my + part * (py + qy) - 2.0 * (ex - lx),
        re * wr - im * wi,
        re * wi + im * wr,
        crossings + enters + leaves,
        turn + cross,
        least if least < cross else cross,
    )


@numba.njit(inline="always")
def _projected(x, y, z, cx, cy, cz, inverse):
    """A corner of a pane projected from a point onto the lens plane, in units of the radius."""
    scale = inverse / (z - cz)
    return (cx * z - x * cz) * scale, (cy * z - y * cz) * scale


@numba.njit(inline="always")
def _edges(ax, ay, bx, by, cx, cy, dx, dy):
    """What a projected pane has in common with the lens: rows 6 to 13 of a point."""
    s = _edge(ax, ay, bx, by, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1e300)
    s = _edge(bx, by, cx, cy, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
    s = _edge(cx, cy, dx, dy, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
    return _edge(dx, dy, ax, ay, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])


@kernel
def look(work, number, c, radius):
    """What the first `number` points see of a lens through a pane: rows 6 to 13.

    c: (3, 4) float, m, the corners as in Panes. Points must lie farther along the axis than all.
    """
    px, py, pz = work[0], work[1], work[2]
    area, mx, my, re, im = work[6], work[7], work[8], work[9], work[10]
    crossings, turn, least = work[11], work[12], work[13]
    inverse = 1.0 / radius
    x0, x1, x2, x3 = c[0, 0], c[0, 1], c[0, 2], c[0, 3]
    y0, y1, y2, y3 = c[1, 0], c[1, 1], c[1, 2], c[1, 3]
    z0, z1, z2, z3 = c[2, 0], c[2, 1], c[2, 2], c[2, 3]
    for t in range(number):
        x, y, z = px[t], py[t], pz[t]
        ax, ay = _projected(x, y, z, x0, y0, z0, inverse)
        bx, by = _projected(x, y, z, x1, y1, z1, inverse)
        cx, cy = _projected(x, y, z, x2, y2, z2, inverse)
        dx, dy = _projected(x, y, z, x3, y3, z3, inverse)
        s = _edges(ax, ay, bx, by, cx, cy, dx, dy)
        area[t], mx[t], my[t], re[t], im[t] = s[0], s[1], s[2], s[3], s[4]
        crossings[t], turn[t], least[t] = s[5], s[6], s[7]


@kernel
def look_at_sphere(work, number, c, radius):
    """The same of a small sphere: what is projected is drawn in, see `outlook`."""
    px, py, pz = work[0], work[1], work[2]
    area, mx, my, re, im = work[6], work[7], work[8], work[9], work[10]
    crossings, turn, least = work[11], work[12], work[13]
    inverse = 1.0 / radius
    x0, x1, x2, x3 = c[0, 0], c[0, 1], c[0, 2], c[0, 3]
    y0, y1, y2, y3 = c[1, 0], c[1, 1], c[1, 2], c[1, 3]
    z0, z1, z2, z3 = c[2, 0], c[2, 1], c[2, 2], c[2, 3]
    for t in range(number):
        x, y, z = px[t], py[t], pz[t]
        draw = drawn_in(1.0, x, y, z)
        ax, ay = _projected(x, y, z, x0, y0, z0, inverse)
        bx, by = _projected(x, y, z, x1, y1, z1, inverse)
        cx, cy = _projected(x, y, z, x2, y2, z2, inverse)
        dx, dy = _projected(x, y, z, x3, y3, z3, inverse)
        a, b = draw * (ax * x + ay * y), draw * (bx * x + by * y)
        e, f = draw * (cx * x + cy * y), draw * (dx * x + dy * y)
        ax, ay, bx, by = ax - a * x, ay - a * y, bx - b * x, by - b * y
        cx, cy, dx, dy = cx - e * x, cy - e * y, dx - f * x, dy - f * y
        s = _edges(ax, ay, bx, by, cx, cy, dx, dy)
        area[t], mx[t], my[t], re[t], im[t] = s[0], s[1], s[2], s[3], s[4]
        crossings[t], turn[t], least[t] = s[5], s[6], s[7]


@kernel
def _lay_out(work, number):
    """Bring the centroids of a sphere's parts, rows 7 and 8, back onto the lens plane."""
    for t in range(number):
        x, y = work[0, t], work[1, t]
        draw = drawn_out(1.0, x, y, work[2, t]) * (work[7, t] * x + work[8, t] * y)
        work[7, t] += draw * x
        work[8, t] += draw * y


@numba.njit(inline="always")
def seen_part(area, mx, my, re, im, crossings, turn, least):
    """Share of the lens that a point sees, and its centroid in units of the lens radius.

    The arguments are a point's values in rows 6 to 13 of its workplace.
    """
    crossed = crossings > 0.0
    area += angle_of(re, im) if crossed else 0.0
    some = (turn > 0.0) & (area > 2e-12)
    # No edge comes near: the lens is seen whole, or not at all.
    whole = (turn > 0.0) & (not crossed) & (area == 0.0) & (least >= 0.0)
    part = area / (2.0 * math.pi)
    part = part if part < 1.0 else 1.0
    inverse = 1.0 / (3.0 * (area if some else 1.0))
    mx, my = mx * inverse, my * inverse
    part = part if some else 0.0
    return (1.0 if whole else part), (mx if some else 0.0), (my if some else 0.0)


@kernel
def _parts(work, number):
    """Turn what was summed over the edges into shares and centroids: rows 6 to 8."""
    area, mx, my, re, im = work[6], work[7], work[8], work[9], work[10]
    crossings, turn, least = work[11], work[12], work[13]
    for t in range(number):
        area[t], mx[t], my[t] = seen_part(
            area[t], mx[t], my[t], re[t], im[t], crossings[t], turn[t], least[t]
        )


@kernel
def _towards(work, number, radius):
    """From parts of the lens to what the candela table is asked, and what its answer is worth:
    the sine of half the angle to the axis, the square of the part's angular radius, and
    part cos / d**2, in rows 9, 10 and 11. See `illuminance.from_lens_part`.
    """
    x, y, z, nx, ny, nz = work[0], work[1], work[2], work[3], work[4], work[5]
    part, sx, sy, sine, disc, weight = work[6], work[7], work[8], work[9], work[10], work[11]
    square_radius = radius * radius
    for t in range(number):
        lx, ly, lz = x[t] - sx[t] * radius, y[t] - sy[t] * radius, z[t]
        square = lx * lx + ly * ly + lz * lz
        inverse = 1.0 / math.sqrt(square)
        incidence = -(nx[t] * lx + ny[t] * ly + nz[t] * lz) * inverse
        versed = 0.5 * (1.0 - lz * inverse)
        sine[t] = math.sqrt(versed if versed > 0.0 else 0.0)
        each = part[t] * inverse * inverse
        disc[t] = each * square_radius
        weight[t] = each * incidence if incidence > 0.0 else 0.0


@kernel
def _round_light(work, number, table, spread, sine_end):
    """Candela of a lamp whose beam is round, into row LUX; see `candela.looked_up`."""
    sine, disc, lux = work[9], work[10], work[LUX]
    last = table.shape[1] - 1
    scale = last / sine_end
    for t in range(number):
        place = sine[t] * scale
        # What is not a number is no light.
        inside = (place >= 0.0) & (place < last)
        place = place if inside else 0.0
        column = np.int32(place)
        u = place - column
        low, high = table[0, column], table[0, column + 1]
        low_spread, high_spread = spread[0, column], spread[0, column + 1]
        value = low + u * (high - low) + disc[t] * (low_spread + u * (high_spread - low_spread))
        lux[t] = value if inside & (value > 0.0) else 0.0


@kernel
def _any_light(work, number, lamps, lamp, radius):
    """Candela of a lamp of any beam, into row LUX."""
    for t in range(number):
        work[LUX, t] = looked_up(
            lamps.candela[lamp],
            lamps.spread[lamp],
            lamps.planes[lamp],
            lamps.sine_end[lamp],
            work[0, t] - work[7, t] * radius,
            work[1, t] - work[8, t] * radius,
            work[9, t],
            work[10, t],
        )


@kernel
def illuminate(work, number, corners, lamps, lamp, share):
    """Illuminance of a pane at the first `number` points, lx, into row LUX.

    corners: (3, 4) float, m, as in Panes; share: what the mirrors of the chain leave. Points that
    are not beyond all corners, along the axis of the lens, get no light.
    """
    radius = max(lamps.lens_radius[lamp], SMALLEST_LENS)
    # Whole steps of the processor: what comes out beyond `number` is nobody's.
    rounded = (number + STEP - 1) // STEP * STEP
    if lamps.sphere[lamp] > 0.0:
        look_at_sphere(work, rounded, corners, radius)
        _parts(work, rounded)
        _lay_out(work, rounded)
    else:
        look(work, rounded, corners, radius)
        _parts(work, rounded)
    _towards(work, rounded, radius)
    least = (1.0 + 1e-9) * max(max(corners[2, 0], corners[2, 1]), max(corners[2, 2], corners[2, 3]))
    if lamps.planes[lamp] == 1:
        _round_light(work, rounded, lamps.candela[lamp], lamps.spread[lamp], lamps.sine_end[lamp])
    else:
        _any_light(work, number, lamps, lamp, radius)
    for t in range(number):
        lit = (work[2, t] > least) & (work[11, t] > 0.0)
        work[LUX, t] = share * work[11, t] * work[LUX, t] if lit else 0.0
