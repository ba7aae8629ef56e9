"""Illuminance through one pane at many points at once, with the penumbra of the round lens.

How much of the lens a point sees is the area of the pane, projected from the point onto the lens
plane, in common with the lens. Area and moments are those of the triangles from the lens centre to
the pane's edges inside the rim, and of the sectors between those (Green's theorem). Here they are
reckoned in units of the lens radius and without branches, so that a processor takes several points
in one step.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numba
import numpy as np

from glint.optics.arrays import Floats
from glint.optics.compile import kernel
from glint.optics.disc import GRAZING, arcs
from glint.optics.illuminance import from_lens_part

MANY = 64
"""Most points at once."""

SMALLEST_LENS = 1e-9
"""A point source is a lens of this radius, m."""


class Points(NamedTuple):
    """Points in the (mirrored) lens frame, with normals, and room for what is seen from them.

    x, y, z, nx, ny, nz: (MANY,) float, m
    area: twice the area of the triangles, in squares of the lens radius; mx, my: six times their
        moments, and three times those of the sectors
    re, im: as in `disc.arcs`; crossings: how often edges cross the rim
    turn: twice the projected pane's area, below zero behind the pane; least: twice the least area
        of the triangles from the lens centre to its edges, below zero if that is outside
    lux: (MANY,) float, what comes out
    """

    x: Floats
    y: Floats
    z: Floats
    nx: Floats
    ny: Floats
    nz: Floats
    area: Floats
    mx: Floats
    my: Floats
    re: Floats
    im: Floats
    crossings: Floats
    turn: Floats
    least: Floats
    lux: Floats


@kernel
def no_points():
    """Room for MANY points."""
    return Points(
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
        np.empty(MANY),
    )


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
    first, last = (-along - half) * whole, (-along + half) * whole
    start = first if first > 0.0 else 0.0
    end = last if last < 1.0 else 1.0
    met = 1.0 if (root > GRAZING * square) & (end > start) else 0.0
    enters = met if first > 0.0 else 0.0
    leaves = met if last < 1.0 else 0.0
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


@kernel
def _look(number, c, inverse, px, py, pz, area, mx, my, re, im, crossings, turn, least):
    """What points see of the lens through a pane; the arrays are those of Points."""
    x0, x1, x2, x3 = c[0, 0], c[0, 1], c[0, 2], c[0, 3]
    y0, y1, y2, y3 = c[1, 0], c[1, 1], c[1, 2], c[1, 3]
    z0, z1, z2, z3 = c[2, 0], c[2, 1], c[2, 2], c[2, 3]
    for t in range(number):
        x, y, z = px[t], py[t], pz[t]
        scale = inverse / (z - z0)
        ax, ay = (x0 * z - x * z0) * scale, (y0 * z - y * z0) * scale
        scale = inverse / (z - z1)
        bx, by = (x1 * z - x * z1) * scale, (y1 * z - y * z1) * scale
        scale = inverse / (z - z2)
        cx, cy = (x2 * z - x * z2) * scale, (y2 * z - y * z2) * scale
        scale = inverse / (z - z3)
        dx, dy = (x3 * z - x * z3) * scale, (y3 * z - y * z3) * scale
        s = _edge(ax, ay, bx, by, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1e300)
        s = _edge(bx, by, cx, cy, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
        s = _edge(cx, cy, dx, dy, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
        s = _edge(dx, dy, ax, ay, s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7])
        area[t], mx[t], my[t], re[t], im[t] = s[0], s[1], s[2], s[3], s[4]
        crossings[t], turn[t], least[t] = s[5], s[6], s[7]


@kernel
def seen_part(area, mx, my, re, im, crossings, turn, least):
    """Share of the lens that a point sees, and its centroid in units of the lens radius.

    The arguments are a point's values of Points.
    """
    if turn <= 0.0:
        return 0.0, 0.0, 0.0
    if crossings > 0.0:
        area += arcs(re, im)
    elif area == 0.0:
        return (1.0, 0.0, 0.0) if least >= 0.0 else (0.0, 0.0, 0.0)
    if area <= 2e-12:
        return 0.0, 0.0, 0.0
    return min(area / (2.0 * math.pi), 1.0), mx / (3.0 * area), my / (3.0 * area)


@kernel
def _shine(
    number,
    x,
    y,
    z,
    nx,
    ny,
    nz,
    area,
    mx,
    my,
    re,
    im,
    crossings,
    turn,
    least,
    table,
    spread,
    planes,
    sine_end,
    radius,
    share,
    lux,
):
    """From what points see of the lens to illuminance; the arrays are those of Points."""
    for t in range(number):
        part, sx, sy = seen_part(
            area[t], mx[t], my[t], re[t], im[t], crossings[t], turn[t], least[t]
        )
        lux[t] = 0.0
        if part > 0.0:
            lux[t] = share * from_lens_part(
                table,
                spread,
                planes,
                sine_end,
                radius,
                x[t],
                y[t],
                z[t],
                nx[t],
                ny[t],
                nz[t],
                part,
                sx * radius,
                sy * radius,
            )


@kernel
def look(points, number, corners, radius):
    """Fill in what the first `number` points see of a lens through a pane (see Points).

    corners: (3, 4) float, m, as in Panes. Points must lie farther along the axis than all corners.
    """
    _look(
        number,
        corners,
        1.0 / radius,
        points.x,
        points.y,
        points.z,
        points.area,
        points.mx,
        points.my,
        points.re,
        points.im,
        points.crossings,
        points.turn,
        points.least,
    )


@kernel
def illuminate(points, number, corners, lamps, lamp, share):
    """Illuminance of a pane at the first `number` points, lx, into points.lux.

    share: what the mirrors of the chain leave.
    """
    radius = max(lamps.lens_radius[lamp], SMALLEST_LENS)
    look(points, number, corners, radius)
    _shine(
        number,
        points.x,
        points.y,
        points.z,
        points.nx,
        points.ny,
        points.nz,
        points.area,
        points.mx,
        points.my,
        points.re,
        points.im,
        points.crossings,
        points.turn,
        points.least,
        lamps.candela[lamp],
        lamps.spread[lamp],
        lamps.planes[lamp],
        lamps.sine_end[lamp],
        radius,
        share,
        points.lux,
    )
