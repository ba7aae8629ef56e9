"""The eye as a camera: which ray each point of the picture takes, and back."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.runtime.jit import kernel

PERSPECTIVE, FISHEYE = 0, 1

WIDEST_PERSPECTIVE = math.radians(110.0)
"""Beyond this, a flat picture stretches its edges too far, and the view is a fisheye's."""


class Camera(NamedTuple):
    """Where the eye is, which way it looks, and how.

    kind: PERSPECTIVE (r = f tan t) or FISHEYE (equidistant, r = f t, with t the angle from the
        axis; both in any book on lens projections)
    focal: float, pixels. size: (2,) int, width and height in pixels
    at: (3,) float, m. frame: (3, 3) float, rows: right, up, forward
    """

    kind: int
    focal: float
    size: np.ndarray
    at: Floats
    frame: Floats


def camera(at: Floats, look: Floats, fov: float, size: tuple[int, int]) -> Camera:
    """A camera that stands upright; fov: rad, from side to side; size: width, height, pixels."""
    forward = np.asarray(look, float) - at
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    if np.linalg.norm(right) < 1e-9:  # straight up or down: north at the top of the picture
        right = np.cross(forward, [0.0, 1.0, 0.0])
    right /= np.linalg.norm(right)
    half = size[0] / 2.0
    flat = fov <= WIDEST_PERSPECTIVE
    focal = half / math.tan(fov / 2.0) if flat else half / (fov / 2.0)
    return Camera(
        PERSPECTIVE if flat else FISHEYE,
        focal,
        np.array(size, np.int64),
        np.asarray(at, float),
        np.array([right, np.cross(right, forward), forward]),
    )


@kernel
def ray(camera, x, y):
    """Unit direction of a point of the picture: x to the right, y down, pixels from the corner.

    All zero where a fisheye would look further back than straight behind.
    """
    u, v = x - camera.size[0] / 2.0, camera.size[1] / 2.0 - y
    if camera.kind == PERSPECTIVE:
        w = camera.focal
    else:
        away = math.sqrt(u * u + v * v)
        angle = away / camera.focal
        if angle >= math.pi:
            return 0.0, 0.0, 0.0
        scale = math.sin(angle) / away if away > 0.0 else 1.0 / camera.focal
        u, v, w = u * scale, v * scale, math.cos(angle)
    short = 1.0 / math.sqrt(u * u + v * v + w * w)
    u, v, w = u * short, v * short, w * short
    f = camera.frame
    return (
        u * f[0, 0] + v * f[1, 0] + w * f[2, 0],
        u * f[0, 1] + v * f[1, 1] + w * f[2, 1],
        u * f[0, 2] + v * f[1, 2] + w * f[2, 2],
    )


@kernel
def project(camera, px, py, pz):
    """Where a point appears: (in front, x, y), pixels from the upper left corner."""
    dx, dy, dz = px - camera.at[0], py - camera.at[1], pz - camera.at[2]
    f = camera.frame
    u = f[0, 0] * dx + f[0, 1] * dy + f[0, 2] * dz
    v = f[1, 0] * dx + f[1, 1] * dy + f[1, 2] * dz
    w = f[2, 0] * dx + f[2, 1] * dy + f[2, 2] * dz
    across = math.sqrt(u * u + v * v)
    if camera.kind == PERSPECTIVE:
        if w <= 1e-6 * across or w <= 0.0:
            return False, 0.0, 0.0
        scale = camera.focal / w
    else:
        angle = math.atan2(across, w)
        scale = camera.focal * angle / across if across > 0.0 else camera.focal / max(w, 1e-12)
    return True, camera.size[0] / 2.0 + u * scale, camera.size[1] / 2.0 - v * scale


@kernel
def pixel_solid_angle(camera, x, y):
    """Solid angle of the pixel about a point of the picture, sr: cos**3 t / f**2 on a flat
    picture, sin t / (t f**2) on a fisheye's."""
    u, v = x - camera.size[0] / 2.0, y - camera.size[1] / 2.0
    square = camera.focal * camera.focal
    if camera.kind == PERSPECTIVE:
        cosine = camera.focal / math.sqrt(u * u + v * v + square)
        return cosine * cosine * cosine / square
    angle = math.sqrt(u * u + v * v) / camera.focal
    if angle < 1e-6:
        return 1.0 / square
    return max(math.sin(angle), 1e-6) / (angle * square)


@kernel
def rays(camera, xs, ys):
    """Directions of many points: xs, ys (n,) float; returns (n, 3) float."""
    found = np.empty((xs.shape[0], 3))
    for i in range(xs.shape[0]):
        found[i, 0], found[i, 1], found[i, 2] = ray(camera, xs[i], ys[i])
    return found


@kernel
def projected(camera, points):
    """Where many points (n, 3) appear: (n, 3) float, in front (0 or 1), x, y."""
    found = np.zeros((points.shape[0], 3))
    for i in range(points.shape[0]):
        ahead, x, y = project(camera, points[i, 0], points[i, 1], points[i, 2])
        if ahead:
            found[i, 0], found[i, 1], found[i, 2] = 1.0, x, y
    return found
