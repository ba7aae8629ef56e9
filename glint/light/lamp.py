"""One lamp: where it stands, where it points, what it sends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from glint.light.colour import LUMINANCE, hex_to_linear_rgb, kelvin_to_linear_rgb
from glint.light.intensity import Intensity, from_beam, lumens_of
from glint.scene.errors import LampError
from glint.scene.model import LampTable

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Lamp:
    """A spotlight with a round lens.

    position: (3,) float, m; frame: (3, 3) float, rows e1 (level), e2 and the optical axis,
    right-handed; lens_radius: m; colour: (3,) float, linear RGB of luminance 1; lumens: lm
    """

    name: str
    position: Floats
    frame: Floats
    lens_radius: float
    colour: Floats
    intensity: Intensity
    lumens: float


def build_lamp(table: LampTable, position: Floats, aim: Floats, folder: Path) -> Lamp:
    """A lamp from its table, aimed at a point. Raises LampError."""
    axis = np.asarray(aim, float) - position
    distance = float(np.linalg.norm(axis))
    if distance < 1e-6:
        raise LampError("aim", "the lamp's own place", "a ball or a point away from the lamp")
    if table.file is not None:
        raise LampError("file", f'"{table.file}"', "lamp files cannot be read yet: give beam_deg")
    intensity = from_beam(
        math.radians(table.beam_deg),
        math.radians(table.field_deg),
        peak=table.peak_cd,
        lumens=table.lumens,
    )
    colour = (
        hex_to_linear_rgb(table.colour)
        if table.colour is not None
        else kelvin_to_linear_rgb(table.kelvin or 3200.0)
    )
    luminance = float(LUMINANCE @ colour)
    if luminance <= 0.0:
        raise LampError("colour", f'"{table.colour}"', "a colour that is not black")
    return Lamp(
        name=table.name,
        position=position,
        frame=_level_frame(axis / distance),
        lens_radius=table.lens_mm / 2000.0,
        colour=colour / luminance,
        intensity=intensity,
        lumens=lumens_of(intensity),
    )


def _level_frame(axis: Floats) -> Floats:
    across = np.cross([0.0, 0.0, 1.0], axis)
    length = float(np.linalg.norm(across))
    across = across / length if length > 1e-9 else np.array([1.0, 0.0, 0.0])
    return np.array([across, np.cross(axis, across), axis])
