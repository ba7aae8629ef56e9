"""A straight line turned about the upright axis: wall, disc, cone, frustum, flat crown.

form, m: a point of the axis (3), outer radius, reach; drop from the tip to the outer rim, inner
radius, drop from the tip to the inner rim; 1 if a level one faces up, -1 if down. The point is the
tip of what slopes, cut off or not; the middle of what is level; of a wall the middle of its lower
rim. A wall has its height in place of a reach, and an inner radius like its outer one.

Chart of a wall: across is azimuth (rad), up is height. Of all else: azimuths as they are, and from
the middle q**2 = i**2 + (r**2 - i**2) / sin(a) for what is r from the axis, i being the inner
radius and a the half angle at the tip. So the area about the axis on the chart is that on the
surface within r and a level disc of radius i within that: the chart of a crown just fills the
hole in that of its roof.

The formulas of wall, level disc and whole cone stand by themselves below: there roots cancel, and a
cone's tip and a level one's missing tip want no division.
"""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel, llvm_inlined

FAR = 1e300


@kernel
def is_wall(form):
    """Whether the line is upright, so that the chart is a strip that closes upon itself."""
    return form[6] == form[3]


@kernel
def ends_itself(forms, s):
    """Whether a ray that meets it within its rims meets nothing before: only of what slopes.

    forms: of all surfaces, s: its number. A row by itself would be counted, see `uncounted`.
    """
    return forms[s, 5] > 0.0


@llvm_inlined
def point(form, across, up):
    """See `equal_area.point`."""
    radius, reach, drop, inner = form[3], form[4], form[5], form[6]
    if inner == radius:
        c, s = math.cos(across), math.sin(across)
        inside = 0.0 <= up <= reach
        return inside, form[0] + radius * c, form[1] + radius * s, form[2] + up, -c, -s, 0.0
    square = across * across + up * up
    inside = inner * inner <= square <= reach * reach
    if drop == 0.0:
        return inside, form[0] + across, form[1] + up, form[2], 0.0, 0.0, form[8]
    away = math.sqrt(square)
    slant = math.sqrt(radius * radius + drop * drop)
    c, s = (across / away, up / away) if away > 0.0 else (0.0, 0.0)
    if inner == 0.0:
        x, y, z = across * radius / reach, up * radius / reach, drop * away / reach
    else:
        out = math.sqrt(inner * inner + (square - inner * inner) * radius / slant)
        x, y, z = c * out, s * out, drop * out / radius
    return (
        inside,
        form[0] + x,
        form[1] + y,
        form[2] - z,
        -c * drop / slant,
        -s * drop / slant,
        -radius / slant,
    )


@kernel
def path_to(forms, s, x, y, z, dx, dy, dz):
    """See `ray_cast.path_to`."""
    x, y, z = x - forms[s, 0], y - forms[s, 1], z - forms[s, 2]
    radius, drop = forms[s, 3], forms[s, 5]
    if forms[s, 6] == radius:
        level = dx * dx + dy * dy
        if level < 1e-30:
            return FAR, True
        along = x * dx + y * dy
        square = along * along - level * (x * x + y * y - radius * radius)
        return (math.sqrt(max(square, 0.0)) - along) / level, True
    if drop == 0.0:
        fall = dz * forms[s, 8]
        if fall >= 0.0:
            return FAR, True
        return -(z * forms[s, 8]) / fall, True
    # h (x, y)**2 = (r z)**2 with z below the tip; the root that leaves the cone.
    h, r = drop * drop, radius * radius
    a = h * (dx * dx + dy * dy) - r * dz * dz
    b = h * (x * dx + y * dy) - r * z * dz
    c = h * (x * x + y * y) - r * z * z
    best = FAR
    if abs(a) < 1e-14 * (h + r):
        if b != 0.0 and -c / (2.0 * b) > 0.0:
            best = -c / (2.0 * b)
    else:
        root = math.sqrt(max(b * b - a * c, 0.0))
        for sign in (-1.0, 1.0):
            path = (-b + sign * root) / a
            if path > 0.0 and z + path * dz <= 0.0:
                best = min(best, path)
    end = z + best * dz
    return best, best < FAR and -drop <= end and (forms[s, 7] == 0.0 or end <= -forms[s, 7])


@kernel
def stretch(form, x, y):
    """How much farther from the axis a point is on the chart, but for walls; x, y: from the axis,
    m."""
    radius, inner = form[3], form[6]
    if form[5] == 0.0:
        return 1.0
    if inner == 0.0:
        return form[4] / radius
    square, slant = x * x + y * y, math.sqrt(radius * radius + form[5] * form[5])
    square = max(square, inner * inner)
    return math.sqrt((inner * inner + (square - inner * inner) * slant / radius) / square)
