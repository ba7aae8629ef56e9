"""Small arrangements of mirrors and lamps that the optics tests share."""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import Lamps, Polygons
from glint.kernels.surfaces.equal_area import Chart
from glint.kernels.surfaces.kinds import CAP, REVOLUTION


def lens_frame(axis) -> np.ndarray:
    axis = np.asarray(axis, float) / np.linalg.norm(axis)
    across = np.cross([0.0, 0.0, 1.0], axis)
    across = across / np.linalg.norm(across) if np.linalg.norm(across) > 1e-9 else np.eye(3)[0]
    return np.array([across, np.cross(axis, across), axis])


def round_lamp(position, aim, lens_radius=0.03, beam=0.105, peak=20000.0) -> Lamps:
    """A lamp whose candela fall as a Gaussian to one half at half the beam angle."""
    position = np.asarray(position, float)
    end = math.sin(min(3 * beam, math.pi / 2) / 2)
    gamma = 2 * np.arcsin(np.linspace(0, end, 2048))
    candela = peak * np.exp(-math.log(2) * (2 * gamma / beam) ** 2)
    around = 2 * math.pi * candela * np.sin(gamma)
    lumens = float(np.sum((around[1:] + around[:-1]) / 2 * np.diff(gamma)))
    # Mean over a disc of radius d exceeds the centre by d**2 / 8 times the Laplacian.
    k = 4 * math.log(2) / beam**2
    spread = candela * (4 * k * k * gamma**2 - 4 * k) / 8
    return Lamps(
        position=position[None],
        frame=lens_frame(np.asarray(aim, float) - position)[None],
        lens_radius=np.array([lens_radius]),
        colour=np.ones((1, 3)),
        lumens=np.array([lumens]),
        candela=candela[None, None],
        spread=spread[None, None],
        planes=np.ones(1, np.int64),
        sine_end=np.array([end]),
        sphere=np.zeros(1),
    )


def plates(squares, mirror=None, reflectance=1.0) -> Polygons:
    """Squares given as (centre, normal, side)."""
    corners = []
    for centre, normal, side in squares:
        first, second, _ = lens_frame(normal)
        h = side / 2
        corners.append(
            [
                np.asarray(centre, float) + a * h * first + b * h * second
                for a, b in [(-1, -1), (1, -1), (1, 1), (-1, 1)]
            ]
        )
    number = len(squares)
    normals = np.array([np.asarray(n, float) / np.linalg.norm(n) for _, n, _ in squares])
    mirror = np.ones(number, bool) if mirror is None else np.asarray(mirror, bool)
    return Polygons(
        corners=np.array(corners),
        sides=np.full(number, 4, np.int64),
        normals=normals,
        reflectance=np.where(mirror, reflectance, 0.0),
        mirror=mirror,
        ball=np.zeros(number, np.int64),
    )


def floor_chart(texels: int, half: float, height: float = 0.0) -> Chart:
    step = 2 * half / texels
    return Chart(
        REVOLUTION,
        np.array([texels, texels]),
        np.array([-half + step / 2, step, half - step / 2, -step]),
        np.array([0.0, 0.0, height, half, half, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0]),
    )


def dome_chart(texels: int, radius: float) -> Chart:
    """A half-sphere standing on the floor, seen lying on one's back."""
    reach = radius * math.sqrt(2)
    step = 2 * reach / texels
    return Chart(
        CAP,
        np.array([texels, texels]),
        np.array([reach - step / 2, -step, reach - step / 2, -step]),
        np.array([0.0, 0.0, 0.0, radius, reach]),
    )
