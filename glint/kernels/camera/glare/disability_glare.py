"""The veil that a bright source lays over the picture, scattered in the eye.

CIE 146:2002, general disability glare equation (after Vos 1984), from memory:
L / E = 10 / t**3 + (5 / t**2 + 0.1 p / t) (1 + (A / 62.5)**4) + 0.0025 p, in cd/m**2 per lux at the
eye, t the angle from the source in degrees, from 0.1 to 100, A the age in years, p the pigment of
the iris (0 black, 0.5 brown, 1 light blue).
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.camera.projection import PERSPECTIVE, project, ray
from glint.kernels.geometry.odd_polynomial import odd_series
from glint.kernels.runtime.jit import folded, kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted

NEAREST, FARTHEST = 0.1, 100.0
"""Range of the formula, degrees; beyond, its end values are taken."""

FAINTEST = 1e-4
"""A source of less than this share of all glare is left out of it."""

STEP = 8
"""Pixels between the places where the smooth outer part of the veil is worked out."""

SMOOTH = 8.0
"""Steps from the source within which every pixel is worked out by itself."""


@folded
def _growth(age):
    return 1.0 + (age / 62.5) ** 4


@folded
def _within_range(t, growth, pigment):
    """The formula, with one division."""
    part = 1.0 / t
    return part * (0.1 * pigment * growth + part * (5.0 * growth + part * 10.0)) + 0.0025 * pigment


@kernel
def veil(degrees, age, pigment):
    """Veiling luminance per illuminance at the eye, cd/m**2 per lx, at an angle from the source."""
    return _within_range(min(max(degrees, NEAREST), FARTHEST), _growth(age), pigment)


_FARTHEST = (2.0 * math.sin(0.5 * math.radians(FARTHEST))) ** 2
_NEAREST = (2.0 * math.sin(0.5 * math.radians(NEAREST))) ** 2

TERMS = 9
"""Terms of a series for the arc sine: within a millionth over the whole range."""

_C = odd_series(lambda chord: np.degrees(2.0 * np.arcsin(0.5 * chord)), math.sqrt(_FARTHEST), TERMS)


@folded
def _degrees_of(square):
    """Degrees between two unit vectors, by the square of the chord between them, in the formula's
    range; without a branch, so that a processor takes several at once."""
    s = square if square > _NEAREST else _NEAREST
    s = s if s < _FARTHEST else _FARTHEST
    value = _C[8]
    for k in range(7, -1, -1):
        value = value * s + _C[k]
    return math.sqrt(s) * value


@kernel
def _parabola(inner, age, pigment):
    """What stands for the veil's peak within `inner`, of the same value and slope there: (a, b) of
    a + b t**2."""
    step = 1e-3 * inner
    slope = (veil(inner + step, age, pigment) - veil(inner - step, age, pigment)) / (2.0 * step)
    bend = 0.5 * slope / inner
    return veil(inner, age, pigment) - bend * inner * inner, bend


@kernel
def _nodes(first, last, given):
    """The smooth part of the veil at places STEP pixels apart. nodes: (rows, 3, columns) float."""
    camera, sources, inner, scale, age, pigment, nodes = uncounted(given)
    columns = nodes.shape[2]
    level, bend = _parabola(inner, age, pigment)
    growth = _growth(age)
    ways = np.empty((3, columns))
    for i in range(first, last):
        for j in range(columns):
            ways[0, j], ways[1, j], ways[2, j] = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
        for s in range(sources.shape[0]):
            sx, sy, sz = sources[s, 0], sources[s, 1], sources[s, 2]
            r, g, b = scale * sources[s, 3], scale * sources[s, 4], scale * sources[s, 5]
            for j in range(columns):
                dx, dy, dz = ways[0, j] - sx, ways[1, j] - sy, ways[2, j] - sz
                t = _degrees_of(dx * dx + dy * dy + dz * dz)
                outer = _within_range(t, growth, pigment)
                value = level + bend * t * t if t < inner else outer
                nodes[i, 0, j] += value * r
                nodes[i, 1, j] += value * g
                nodes[i, 2, j] += value * b


@kernel
def _veil_rows(begin, end, given):
    camera, sources, places, inner, scale, age, pigment, nodes, picture, veiled = uncounted(given)
    width = picture.shape[1]
    level, bend = _parabola(inner, age, pigment)
    growth = _growth(age)
    # Of two unit vectors: the square of the chord between them.
    within = (2.0 * math.sin(0.5 * math.radians(min(inner, 180.0)))) ** 2
    ways, peak = np.empty((3, width)), np.empty((3, width))
    line = np.empty((3, nodes.shape[2]), np.float32)
    for i in range(begin, end):
        top = i // STEP
        y = (i - top * STEP) / STEP
        for k in range(3):
            for n in range(nodes.shape[2]):
                line[k, n] = (1.0 - y) * nodes[top, k, n] + y * nodes[top + 1, k, n]
        for left in range(0, width, STEP):
            n = left // STEP
            r, g, b = line[0, n], line[1, n], line[2, n]
            step = np.float32(1.0 / STEP)
            dr, dg, db = line[0, n + 1] - r, line[1, n + 1] - g, line[2, n + 1] - b
            dr, dg, db = dr * step, dg * step, db * step
            for j in range(left, min(left + STEP, width)):
                x = np.float32(j - left)
                veiled[i, j, 0] = picture[i, j, 0] + (r + x * dr)
                veiled[i, j, 1] = picture[i, j, 1] + (g + x * dg)
                veiled[i, j, 2] = picture[i, j, 2] + (b + x * db)
        first, last = width, 0
        for s in range(sources.shape[0]):
            if abs(places[s, 1] - i) <= places[s, 2]:
                first = min(first, max(int(places[s, 0] - places[s, 2]), 0))
                last = max(last, min(int(places[s, 0] + places[s, 2]) + 1, width))
        for j in range(first, last):
            ways[0, j], ways[1, j], ways[2, j] = ray(camera, j + 0.5, i + 0.5)
            peak[0, j] = peak[1, j] = peak[2, j] = 0.0
        for s in range(sources.shape[0]):
            reach = places[s, 2]
            if abs(places[s, 1] - i) > reach:
                continue
            sx, sy, sz = sources[s, 0], sources[s, 1], sources[s, 2]
            r, g, b = scale * sources[s, 3], scale * sources[s, 4], scale * sources[s, 5]
            blur = sources[s, 6] * sources[s, 6]
            begins = max(int(places[s, 0] - reach), 0)
            for j in range(begins, min(int(places[s, 0] + reach) + 1, width)):
                dx, dy, dz = ways[0, j] - sx, ways[1, j] - sy, ways[2, j] - sz
                square = dx * dx + dy * dy + dz * dz
                t = _degrees_of(square + blur)
                outer = _within_range(t, growth, pigment)
                value = outer - level - bend * t * t if square < within else 0.0
                peak[0, j] += value * r
                peak[1, j] += value * g
                peak[2, j] += value * b
        for j in range(first, last):
            for k in range(3):
                veiled[i, j, k] += np.float32(peak[k, j])


def _reach(camera, source: np.ndarray, inner: float) -> float:
    """Pixels within which all lies that is less than some degrees from a source.

    A flat picture stretches towards its edges, where a degree is more pixels; a fisheye's
    stretches along its rim.
    """
    angle = math.acos(min(max(float(camera.frame[2] @ source[:3]), -1.0), 1.0))
    inner = math.radians(inner)
    if camera.kind == PERSPECTIVE:
        end = min(angle + inner, 1.5)
        stretched = math.tan(end) - math.tan(min(angle, end))
    else:
        # On a circle about the axis, of which the source's part looks larger the wider it is.
        end = min(angle + inner, math.pi)
        stretched = inner * end / max(math.sin(end), 0.25 * end)
    return camera.focal * min(1.1 * stretched, 4.0 * inner) + 1.0


def add_glare(
    camera,
    sources: np.ndarray,
    age: float,
    pigment: float,
    scale: float,
    picture: np.ndarray,
    coarse: np.ndarray | None = None,
    veiled: np.ndarray | None = None,
) -> None:
    """Add the veil of point-like sources to a picture.

    sources: (n, 7) float, direction from the eye, illuminance across it, lx, linear RGB, and half
    the width of what is not a point, rad: its veil has so much less of a peak.
    scale: 1 for an eye; less for a lens cleaner than that. picture: (h, w, 3) float32, cd/m**2.
    Away from a source the veil is interpolated, to 2 %. coarse: sources taken together that are a
    step or two apart, if there are many: enough for what is farther away. veiled: as picture,
    written; without it the picture itself is changed.
    """
    veiled = picture if veiled is None else veiled
    if not len(sources) or scale <= 0.0:
        if veiled is not picture:
            veiled[:] = picture
        return
    height, width = picture.shape[:2]
    pixel = math.degrees(1.0 / camera.focal)
    inner = max(SMOOTH * STEP * pixel, 2.0 * NEAREST)
    nodes = np.zeros((height // STEP + 2, 3, width // STEP + 2))
    far = sources if coarse is None else coarse
    share_out(len(nodes), _nodes, (camera, far, inner, scale, age, pigment, nodes))
    places = np.full((len(sources), 3), -1e9)
    for s, source in enumerate(sources):
        ahead, x, y = project(camera, *(camera.at + source[:3]))
        if ahead:
            places[s] = x, y, _reach(camera, source, inner)
    given = (camera, sources, places, inner, scale, age, pigment, nodes, picture, veiled)
    share_out(height, _veil_rows, given)


def merged(sources: np.ndarray, width: float) -> np.ndarray:
    """Sources, those within some width of each other as one, the faint ones left out.

    sources: (n, 7) float, see `add_glare`; width: rad
    """
    sources = sources[sources[:, 3:6].max(axis=1) > 0.0]  # LEDs twinkle down to nothing
    if not len(sources):
        return sources
    keys = np.round(sources[:, :3] / width).astype(np.int64)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    group = group.ravel()
    strength = sources[:, 3:6].max(axis=1)
    number = int(group.max()) + 1
    total = np.stack([np.bincount(group, sources[:, k], number) for k in (3, 4, 5)], axis=1)
    weight = np.bincount(group, strength, number)
    ways = np.stack([np.bincount(group, strength * sources[:, k], number) for k in range(3)], 1)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    kept = weight > FAINTEST * weight.sum()
    wide = np.bincount(group, strength * sources[:, 6], number) / weight
    return np.column_stack([ways, total, wide])[kept]
