"""A round cone about a beam: the cheap test that spares the exact one."""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel


@kernel
def bounding_cone(apex, lens_radius, window, count, cone):
    """The inner tangent cone of a sphere about the lens and a sphere about the window.

    Every line from the lens through the window stays inside it. cone: (8,) float, written:
    tip (3), axis (3), sine and cosine of the half angle; sine 2 where lens and window overlap
    and nothing can be spared.
    """
    cx = cy = cz = 0.0
    for i in range(count):
        cx += window[i, 0] / count
        cy += window[i, 1] / count
        cz += window[i, 2] / count
    radius = 0.0
    for i in range(count):
        away = (window[i, 0] - cx) ** 2 + (window[i, 1] - cy) ** 2 + (window[i, 2] - cz) ** 2
        radius = max(radius, away)
    radius = math.sqrt(radius)
    ax, ay, az = cx - apex[0], cy - apex[1], cz - apex[2]
    distance = math.sqrt(ax * ax + ay * ay + az * az)
    both = lens_radius + radius
    if distance <= both * 1.0001:
        cone[6] = 2.0
        return
    ax, ay, az = ax / distance, ay / distance, az / distance
    forward = distance * lens_radius / both
    cone[0] = apex[0] + forward * ax
    cone[1] = apex[1] + forward * ay
    cone[2] = apex[2] + forward * az
    cone[3], cone[4], cone[5] = ax, ay, az
    cone[6] = both / distance
    cone[7] = math.sqrt(1.0 - cone[6] * cone[6])


@kernel
def meets(cx, cy, cz, ax, ay, az, sine, cosine, x, y, z, radius):
    """`may_meet` in plain numbers and without a branch, for loops that work on many at once."""
    dx, dy, dz = x - cx, y - cy, z - cz
    along = dx * ax + dy * ay + dz * az
    wide = radius + along * sine
    aside = (dx * dx + dy * dy + dz * dz - along * along) * cosine * cosine
    return (radius >= 0.0) & (
        (sine > 1.0) | ((along >= -radius) & (wide >= 0.0) & (aside <= wide * wide))
    )


@kernel
def may_meet(cone, x, y, z, radius):
    """Whether a sphere may reach into the cone, ahead of its tip."""
    return meets(
        cone[0], cone[1], cone[2], cone[3], cone[4], cone[5], cone[6], cone[7], x, y, z, radius
    )
