"""A rectangle of any direction.

form: middle (3), half the width and half the height, m, one unused, and its sides, unit (3 + 3).
Chart: as it is; it faces the side from which `up` is anticlockwise of `across`.
"""

from __future__ import annotations

from glint.kernels.runtime.jit import kernel, llvm_inlined

FAR = 1e300


@llvm_inlined
def point(form, across, up):
    """See `equal_area.point`."""
    return (
        abs(across) <= form[3] and abs(up) <= form[4],
        form[0] + across * form[5] + up * form[8],
        form[1] + across * form[6] + up * form[9],
        form[2] + across * form[7] + up * form[10],
        form[6] * form[10] - form[7] * form[9],
        form[7] * form[8] - form[5] * form[10],
        form[5] * form[9] - form[6] * form[8],
    )


@kernel
def path_to(forms, s, x, y, z, dx, dy, dz):
    """How far along a ray its plane is met from the front: m, or FAR."""
    x, y, z = x - forms[s, 0], y - forms[s, 1], z - forms[s, 2]
    nx = forms[s, 6] * forms[s, 10] - forms[s, 7] * forms[s, 9]
    ny = forms[s, 7] * forms[s, 8] - forms[s, 5] * forms[s, 10]
    nz = forms[s, 5] * forms[s, 9] - forms[s, 6] * forms[s, 8]
    fall = dx * nx + dy * ny + dz * nz
    if fall >= 0.0:
        return FAR
    return -(x * nx + y * ny + z * nz) / fall


@kernel
def locate(form, x, y, z):
    """See `ray_cast.locate`."""
    x, y, z = x - form[0], y - form[1], z - form[2]
    across = x * form[5] + y * form[6] + z * form[7]
    up = x * form[8] + y * form[9] + z * form[10]
    return min(max(across, -form[3]), form[3]), min(max(up, -form[4]), form[4])
