"""Where a ray from inside a convex room ends: surface and place on its chart."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.runtime.jit import kernel
from glint.kernels.surfaces.equal_area import CAP, CONE, CYLINDER, DISC

FAR = 1e300


@kernel
def _path_to(kind, forms, s, x, y, z, dx, dy, dz):
    """How far along a ray the surface, taken beyond its rims, is met from inside: (path, whether
    that is within its rim). Caps and cones end at their rims; the rest stand behind them."""
    x, y, z = x - forms[s, 0], y - forms[s, 1], z - forms[s, 2]
    radius = forms[s, 3]
    if kind == CAP:
        along = x * dx + y * dy + z * dz
        square = along * along - (x * x + y * y + z * z) + radius * radius
        if square < 0.0:
            return FAR, False
        path = math.sqrt(square) - along
        return path, path >= 0.0 and z + path * dz >= forms[s, 5] - forms[s, 2]
    if kind == CYLINDER:
        level = dx * dx + dy * dy
        if level < 1e-30:
            return FAR, True
        along = x * dx + y * dy
        square = along * along - level * (x * x + y * y - radius * radius)
        return (math.sqrt(max(square, 0.0)) - along) / level, True
    if kind == CONE:
        # h (x, y)**2 = (r z)**2 with z below the tip; the root that leaves the cone.
        h, r = forms[s, 5] * forms[s, 5], radius * radius
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
        return best, best < FAR and z + best * dz >= -forms[s, 5]
    # A disc faces up; a rectangle carries its sides.
    if kind == DISC:
        nx, ny, nz = 0.0, 0.0, 1.0
    else:
        nx = forms[s, 6] * forms[s, 10] - forms[s, 7] * forms[s, 9]
        ny = forms[s, 7] * forms[s, 8] - forms[s, 5] * forms[s, 10]
        nz = forms[s, 5] * forms[s, 9] - forms[s, 6] * forms[s, 8]
    fall = dx * nx + dy * ny + dz * nz
    if fall >= 0.0:
        return FAR, True
    return -(x * nx + y * ny + z * nz) / fall, True


@kernel
def cast(kinds, forms, x, y, z, dx, dy, dz):
    """The surface that a ray from inside meets, and how far away: (surface, path, m).

    kinds: (s,) int; forms: (s, 11) float, as in Chart; (dx, dy, dz): unit. A point of a cap or a
    cone within its rim is where the ray ends; else the nearest of floor and walls is.
    """
    found, path = -1, FAR
    for s in range(kinds.shape[0]):
        here, within = _path_to(kinds[s], forms, s, x, y, z, dx, dy, dz)
        if kinds[s] == CAP or kinds[s] == CONE:
            if within:
                return s, here
        elif here < path:
            found, path = s, max(here, 0.0)
    if found < 0:
        # Along a rim, by rounding: what is overhead takes it.
        return 0, max(_path_to(kinds[0], forms, 0, x, y, z, dx, dy, dz)[0], 0.0)
    return found, path


@kernel
def locate(kind, form, x, y, z):
    """Where a point of a surface lies on its chart: (across, up), the inverse of `point`.

    Points a little beyond a rim, by rounding, are brought back to it.
    """
    x, y, z = x - form[0], y - form[1], z - form[2]
    radius, reach = form[3], form[4]
    if kind == CYLINDER:
        return math.atan2(y, x), min(max(z, 0.0), reach)
    if kind == CAP:
        # Snyder 1987, equations 24-2 to 24-4 about the pole: stretched by sqrt(2 / (1 + cos c)).
        stretch = math.sqrt(2.0 * radius / max(radius + z, 1e-9 * radius))
    elif kind == CONE:
        stretch = reach / radius
    elif kind == DISC:
        stretch = 1.0
    else:
        across = x * form[5] + y * form[6] + z * form[7]
        up = x * form[8] + y * form[9] + z * form[10]
        return min(max(across, -radius), radius), min(max(up, -reach), reach)
    across, up = x * stretch, y * stretch
    away = math.sqrt(across * across + up * up)
    if away > reach:
        across, up = across * reach / away, up * reach / away
    return across, up


@kernel
def cast_all(kinds, forms, origins, directions):
    """`cast` and `locate` of many rays: surfaces (n,) int, points (n, 3), places (n, 2)."""
    number = origins.shape[0]
    surfaces = np.empty(number, np.int64)
    found, places = np.empty((number, 3)), np.empty((number, 2))
    for i in range(number):
        o, d = origins[i], directions[i]
        s, path = cast(kinds, forms, o[0], o[1], o[2], d[0], d[1], d[2])
        surfaces[i] = s
        for k in range(3):
            found[i, k] = o[k] + path * d[k]
        places[i] = locate(kinds[s], forms[s], found[i, 0], found[i, 1], found[i, 2])
    return surfaces, found, places
