"""A spherical cap about the zenith, open below.

form: centre of the sphere (3), radius, reach (rim radius in the chart), height of the rim above
the floor, m. Chart: Lambert's azimuthal equal-area projection (Snyder 1987, p. 182-190).
"""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel, llvm_inlined

FAR = 1e300


@llvm_inlined
def point(form, across, up):
    """See `equal_area.point`."""
    radius, reach = form[3], form[4]
    square = across * across + up * up
    inside = square <= reach * reach
    shrink = math.sqrt(max(1.0 - square / (4.0 * radius * radius), 0.0))
    x, y, z = across * shrink, up * shrink, radius - square / (2.0 * radius)
    return (
        inside,
        form[0] + x,
        form[1] + y,
        form[2] + z,
        -x / radius,
        -y / radius,
        -z / radius,
    )


@kernel
def path_to(forms, s, x, y, z, dx, dy, dz):
    """See `ray_cast.path_to`."""
    x, y, z = x - forms[s, 0], y - forms[s, 1], z - forms[s, 2]
    radius = forms[s, 3]
    along = x * dx + y * dy + z * dz
    square = along * along - (x * x + y * y + z * z) + radius * radius
    if square < 0.0:
        return FAR, False
    path = math.sqrt(square) - along
    return path, path >= 0.0 and z + path * dz >= forms[s, 5] - forms[s, 2]


@kernel
def stretch(form, z):
    """How much farther from the axis a point is on the chart; z: m, from the sphere's centre.

    Snyder 1987, equations 24-2 to 24-4 about the pole: sqrt(2 / (1 + cos c)).
    """
    radius = form[3]
    return math.sqrt(2.0 * radius / max(radius + z, 1e-9 * radius))
