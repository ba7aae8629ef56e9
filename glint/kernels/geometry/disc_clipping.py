"""Chords of a round lens, and the arcs between them: the parts that areas are made of."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.geometry.odd_polynomial import odd_series
from glint.kernels.runtime.jit import folded, kernel

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


_EIGHTH = math.tan(math.pi / 8.0)

TERMS = 12
"""Terms of a series for the arc tangent, up to tan(pi / 8): each is worth a factor of 25, all of
them reach to the last bits."""


_C = odd_series(np.arctan, _EIGHTH, TERMS)


@folded
def angle_of(re, im):
    """`arcs` without a branch, so that a processor takes several at once."""
    x, y = abs(re), abs(im)
    most, least = (x if x > y else y), (y if x > y else x)
    large = least > _EIGHTH * most
    t = (least - most if large else least) / ((least + most if large else most) + 1e-300)
    s = t * t
    value = _C[11]
    for k in range(10, -1, -1):
        value = value * s + _C[k]
    angle = t * value + (0.25 * math.pi if large else 0.0)
    angle = 0.5 * math.pi - angle if y > x else angle
    angle = math.pi - angle if re < 0.0 else angle
    below = 2.0 * math.pi - angle if angle > 1e-9 else 0.0
    return below if im < 0.0 else angle
