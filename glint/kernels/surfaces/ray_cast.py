"""Where a ray from inside a convex room ends: surface and place on its chart."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.runtime.jit import kernel
from glint.kernels.surfaces import cap, rectangle, revolution
from glint.kernels.surfaces.kinds import CAP, REVOLUTION

FAR = 1e300


@kernel
def path_to(kind, forms, s, x, y, z, dx, dy, dz):
    """How far along a ray a surface, taken beyond its rims, is met from inside: (path, whether
    that is within its rims). Caps and cones end at their rims; the rest stand behind them."""
    if kind == CAP:
        return cap.path_to(forms, s, x, y, z, dx, dy, dz)
    if kind == REVOLUTION:
        return revolution.path_to(forms, s, x, y, z, dx, dy, dz)
    return rectangle.path_to(forms, s, x, y, z, dx, dy, dz), True


@kernel
def cast(kinds, forms, x, y, z, dx, dy, dz):
    """The surface that a ray from inside meets, and how far away: (surface, path, m).

    kinds: (s,) int; forms: (s, 11) float, as in Chart; (dx, dy, dz): unit. A point of a cap or a
    cone within its rims is where the ray ends; else the nearest of the rest is.
    """
    found, path = -1, FAR
    for s in range(kinds.shape[0]):
        kind = kinds[s]
        here, within = path_to(kind, forms, s, x, y, z, dx, dy, dz)
        if kind == CAP or (kind == REVOLUTION and revolution.ends_itself(forms, s)):
            if within:
                return s, here
        elif here < path:
            found, path = s, max(here, 0.0)
    if found < 0:
        # Along a rim, by rounding: what is overhead takes it.
        return 0, max(path_to(kinds[0], forms, 0, x, y, z, dx, dy, dz)[0], 0.0)
    return found, path


@kernel
def locate(kind, form, x, y, z):
    """Where a point of a surface lies on its chart: (across, up), the inverse of `point`.

    Points a little beyond a rim, by rounding, are brought back to it.
    """
    if kind != CAP and kind != REVOLUTION:
        return rectangle.locate(form, x, y, z)
    x, y, z = x - form[0], y - form[1], z - form[2]
    reach = form[4]
    if kind == CAP:
        stretch = cap.stretch(form, z)
    elif revolution.is_wall(form):
        return math.atan2(y, x), min(max(z, 0.0), reach)
    else:
        stretch = revolution.stretch(form, x, y)
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
