"""The veil that a bright source lays over the picture, scattered in the eye.

CIE 146:2002, general disability glare equation (after Vos 1984), from memory:
L / E = 10 / t**3 + (5 / t**2 + 0.1 p / t) (1 + (A / 62.5)**4) + 0.0025 p, in cd/m**2 per lux at the
eye, t the angle from the source in degrees, from 0.1 to 100, A the age in years, p the pigment of
the iris (0 black, 0.5 brown, 1 light blue).
"""

from __future__ import annotations

import math

import numpy as np

from glint.optics.borrow import borrowed
from glint.optics.camera import PERSPECTIVE, project, ray
from glint.optics.compile import kernel
from glint.optics.threads import share_out

NEAREST, FARTHEST = 0.1, 100.0
"""Range of the formula, degrees; beyond, its end values are taken."""

FAINTEST = 1e-4
"""A source of less than this share of all glare is left out of it."""

STEP = 8
"""Pixels between the places where the smooth outer part of the veil is worked out."""

SMOOTH = 8.0
"""Steps from the source within which every pixel is worked out by itself."""


@kernel
def veil(degrees, age, pigment):
    """Veiling luminance per illuminance at the eye, cd/m**2 per lx, at an angle from the source."""
    t = min(max(degrees, NEAREST), FARTHEST)
    growth = 1.0 + (age / 62.5) ** 4
    return 10.0 / (t * t * t) + (5.0 / (t * t) + 0.1 * pigment / t) * growth + 0.0025 * pigment


@kernel
def _degrees_between(ax, ay, az, bx, by, bz):
    chord = math.sqrt((ax - bx) ** 2 + (ay - by) ** 2 + (az - bz) ** 2)
    return math.degrees(2.0 * math.asin(min(0.5 * chord, 1.0)))


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
    camera, sources, inner, age, pigment, nodes = borrowed(given)
    level, bend = _parabola(inner, age, pigment)
    for i in range(first, last):
        for j in range(nodes.shape[1]):
            dx, dy, dz = ray(camera, j * STEP + 0.5, i * STEP + 0.5)
            for s in range(sources.shape[0]):
                away = _degrees_between(dx, dy, dz, sources[s, 0], sources[s, 1], sources[s, 2])
                value = veil(away, age, pigment)
                if away < inner:
                    value = level + bend * away * away
                for k in range(3):
                    nodes[i, j, k] += value * sources[s, 3 + k]


@kernel
def _add_rows(begin, end, given):
    camera, sources, places, inner, age, pigment, scale, nodes, picture = borrowed(given)
    width = picture.shape[1]
    level, bend = _parabola(inner, age, pigment)
    # Of two unit vectors: the square of the chord between them.
    within = (2.0 * math.sin(0.5 * math.radians(min(inner, 180.0)))) ** 2
    for i in range(begin, end):
        top = i // STEP
        y = (i - top * STEP) / STEP
        for j in range(width):
            left = j // STEP
            x = (j - left * STEP) / STEP
            for k in range(3):
                value = (1.0 - y) * (
                    (1.0 - x) * nodes[top, left, k] + x * nodes[top, left + 1, k]
                ) + y * ((1.0 - x) * nodes[top + 1, left, k] + x * nodes[top + 1, left + 1, k])
                picture[i, j, k] += scale * value
        for s in range(sources.shape[0]):
            reach = places[s, 2]
            if abs(places[s, 1] - i) > reach:
                continue
            first = max(int(places[s, 0] - reach), 0)
            last = min(int(places[s, 0] + reach) + 1, width)
            for j in range(first, last):
                dx, dy, dz = ray(camera, j + 0.5, i + 0.5)
                dx, dy, dz = dx - sources[s, 0], dy - sources[s, 1], dz - sources[s, 2]
                chord = dx * dx + dy * dy + dz * dz
                if chord < within:
                    chord += sources[s, 6] * sources[s, 6]
                    away = math.degrees(2.0 * math.asin(0.5 * math.sqrt(chord)))
                    value = veil(away, age, pigment) - level - bend * away * away
                    for k in range(3):
                        picture[i, j, k] += scale * value * sources[s, 3 + k]


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
) -> None:
    """Add the veil of point-like sources to a picture.

    sources: (n, 7) float, direction from the eye, illuminance across it, lx, linear RGB, and half
    the width of what is not a point, rad: its veil has so much less of a peak.
    scale: 1 for an eye; less for a lens cleaner than that. picture: (h, w, 3) float32, cd/m**2,
    changed in place. Away from a source the veil is interpolated, to 2 %. coarse: sources taken
    together that are a step or two apart, if there are many: enough for what is farther away.
    """
    if not len(sources) or scale <= 0.0:
        return
    height, width = picture.shape[:2]
    pixel = math.degrees(1.0 / camera.focal)
    inner = max(SMOOTH * STEP * pixel, 2.0 * NEAREST)
    nodes = np.zeros((height // STEP + 2, width // STEP + 2, 3))
    far = sources if coarse is None else coarse
    share_out(len(nodes), _nodes, (camera, far, inner, age, pigment, nodes))
    places = np.full((len(sources), 3), -1e9)
    for s, source in enumerate(sources):
        ahead, x, y = project(camera, *(camera.at + source[:3]))
        if ahead:
            places[s] = x, y, _reach(camera, source, inner)
    given = (camera, sources, places, inner, age, pigment, scale, nodes, picture)
    share_out(height, _add_rows, given)


def merged(sources: np.ndarray, width: float) -> np.ndarray:
    """Sources, those within some width of each other as one, the faint ones left out.

    sources: (n, 7) float, see `add_glare`; width: rad
    """
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
