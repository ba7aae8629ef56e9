"""One lamp: where it stands, where it points, and what it sends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from glint.errors import LampError, in_words
from glint.files.read import FileError, read_named_file
from glint.photometry.colour import hex_to_linear_rgb, kelvin_to_linear_rgb, of_luminance_one
from glint.photometry.intensity_table import Intensity, from_beam, from_lm63, lumens_of, scaled
from glint.photometry.readers import PhotometryError, read_photometry
from glint.photometry.tables import LEAST_LIGHT, LampTable

Floats = NDArray[np.float64]

MOST_BEHIND = 0.01
"""Share of a lamp file's lumens that may go backwards, where a lens sends none."""

MOST_CANDELA = 1e9
"""Peak that a lamp file may come to, cd; the same as a scene may give as peak_cd."""


@dataclass(frozen=True)
class Lamp:
    """A spotlight with a round lens, every point of which sends the same candela.

    position: (3,) float, m, of the lens centre
    frame: (3, 3) float, rows: a level axis, one across it, and the optical axis; right-handed
    lens_radius: m
    colour: (3,) float, linear sRGB of luminance 1, so that lux come out photometric
    lumens: lm, all of which go forward
    """

    name: str
    position: Floats
    frame: Floats
    lens_radius: float
    colour: Floats
    intensity: Intensity
    lumens: float


def build_lamp(table: LampTable, position: Floats, aim: Floats, folder: Path) -> Lamp:
    """A lamp from its filled table.

    position, aim: (3,) float, m. folder: where a lamp file is looked up. Raises LampError.
    """
    position = np.asarray(position, float)
    away = np.asarray(aim, float) - position
    distance = float(np.linalg.norm(away))
    if distance < 1e-6:
        raise LampError("aim", "the lamp's own place", "a ball or a point away from the lamp")
    axis = away / distance
    intensity = _intensity(table, axis, folder)
    return Lamp(
        name=table.name,
        position=position,
        frame=level_frame(axis),
        lens_radius=table.lens_mm / 2000.0,
        colour=_colour(table),
        intensity=intensity,
        lumens=lumens_of(intensity),
    )


def level_frame(axis: Floats) -> Floats:
    """Right-handed unit axes (3, 3), rows, of which the first is level and the last is given.

    One who looks back along the axis into the lamp has the first to the right and the second
    upward. For a lamp that points straight up or down the first is +x.
    """
    level = np.array([-axis[1], axis[0], 0.0])
    length = float(np.linalg.norm(level))
    level = level / length if length > 1e-9 else np.array([1.0, 0.0, 0.0])
    return np.array([level, np.cross(axis, level), axis])


def _colour(table: LampTable) -> Floats:
    if table.colour is None:
        if table.kelvin is None:
            raise LampError("kelvin", "nothing", "kelvin or colour")
        return kelvin_to_linear_rgb(table.kelvin)
    try:
        return of_luminance_one(hex_to_linear_rgb(table.colour))
    except ValueError:
        allowed = "any colour but black, which gives no light"
        raise LampError("colour", in_words(table.colour), allowed) from None


def _intensity(table: LampTable, axis: Floats, folder: Path) -> Intensity:
    if table.file is not None:
        return _from_file(table.file, axis, folder)
    return from_beam(
        math.radians(table.beam_deg),
        math.radians(table.field_deg),
        peak=table.peak_cd,
        lumens=table.lumens,
    )


def _from_file(name: str, axis: Floats, folder: Path) -> Intensity:
    try:
        photometry = read_photometry(read_named_file(folder, name), name)
    except FileError as error:
        raise LampError("file", error.found, error.allowed, error.nearest) from None
    except PhotometryError as error:
        found = f"{in_words(name)}, {error.problem.where}: {error.problem.found}"
        raise LampError("file", found, error.problem.allowed) from None
    lumens = photometry.lumens()
    behind = photometry.lumens(90.0) / lumens if lumens > 0.0 else 0.0
    if behind > MOST_BEHIND:
        found = f"{in_words(name)}, {behind:.0%} of whose light goes backwards"
        raise LampError("file", found, f"a spotlight: at most {MOST_BEHIND:.0%}")
    tilt = math.degrees(math.acos(min(max(-axis[2], -1.0), 1.0)))
    factor = photometry.tilt_factor(tilt)
    if lumens <= 0.0 or factor <= 0.0:
        raise LampError("file", f"{in_words(name)}, which gives no light", "some candela")
    found = scaled(from_lm63(photometry), factor)
    peak = float(found.candela.max())
    if not LEAST_LIGHT <= peak <= MOST_CANDELA:
        shown = f"{in_words(name)}, of {peak:.3g} cd at its peak"
        allowed = f"at most {MOST_CANDELA:g} cd"
        if peak < LEAST_LIGHT:
            allowed = f"at least {LEAST_LIGHT:g} cd"
        raise LampError("file", shown, allowed)
    return found
