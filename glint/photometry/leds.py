"""String lights: the colour of every LED, and how it twinkles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from glint.photometry.colour import hex_to_linear_rgb, kelvin_to_linear_rgb, of_luminance_one
from glint.photometry.tables import StringTable

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Leds:
    """The LEDs of one string.

    points: (n, 3) float, m, in the ball's own frame; radius: m
    lumens: (n,) float, lm, at full brightness, the same in every direction
    colour: (n, 3) float, linear RGB of luminance 1
    period: s, of the twinkle, 0 where the light is steady; phase: (n,) float, rad
    """

    name: str
    ball: int
    points: Floats
    radius: float
    lumens: Floats
    colour: Floats
    period: float
    phase: Floats

    def brightness(self, seconds: float) -> Floats:
        """Share of full brightness (n,) float: a raised cosine, from dark to full and back."""
        if not self.period:
            return np.ones(len(self.points))
        return 0.5 + 0.5 * np.cos(2.0 * np.pi * seconds / self.period + self.phase)


def build_leds(row: StringTable, ball: int, points: Floats) -> Leds:
    """The LEDs of a filled table at their points (n, 3), m."""
    if isinstance(row.colour, str):
        kinds = [hex_to_linear_rgb(row.colour)]
    elif row.colour is not None:
        kinds = [hex_to_linear_rgb(code) for code in row.colour]
    else:
        kinds = [kelvin_to_linear_rgb(row.kelvin or 0.0)]
    colours = np.array([of_luminance_one(kind) for kind in kinds])
    count = len(points)
    # A stream of its own, so that a twinkle does not move the bundle.
    random = np.random.default_rng([row.seed, 1])
    return Leds(
        name=row.name,
        ball=ball,
        points=points,
        radius=row.led_mm / 2000.0,
        lumens=np.full(count, row.led_lumens),
        colour=colours[np.arange(count) % len(colours)],
        period=row.twinkle_s or 0.0,
        phase=2.0 * np.pi * random.random(count),
    )
