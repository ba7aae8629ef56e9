"""The tables of what shines: lamps, and string lights inside a ball."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from glint.files.table import (
    A_COLOUR,
    A_NAME,
    A_POINT,
    FILLED,
    PRINTABLE,
    Colour,
    Name,
    Point,
    Table,
)
from glint.photometry.readers import formats

MOST_LEDS = 500

Colours = Annotated[tuple[Colour, ...], Field(strict=False, min_length=1, max_length=24)]
Millimetres = Annotated[float, Field(ge=-10000.0, le=10000.0)]
InnerPoint = Annotated[tuple[Millimetres, Millimetres, Millimetres], Field(strict=False)]
InnerPoints = Annotated[
    tuple[InnerPoint, ...], Field(strict=False, min_length=1, max_length=MOST_LEDS)
]

_COLOURS = 'a colour as "#rrggbb", or a list of 1 to 24 of them'
_POINTS = "a list of 1 to 500 points [x, y, z] in millimetres from the ball's centre"


LEAST_LIGHT = 1e-9
"""Least candela or lumens of a light: of much less, sums come out as nothing."""


class LampTable(Table):
    """One spotlight. Of `peak_cd`, `lumens` and `file` one is set, and of `kelvin` and `colour`."""

    name: Name = Field(default=FILLED, description=A_NAME)
    at_m: Point = Field(default=FILLED, description=A_POINT)
    aim: str | Point = Field(default=FILLED, description=f"a ball's name, or {A_POINT}")
    beam_deg: float = Field(default=6.0, ge=0.1, le=160.0)
    field_deg: float = Field(default=FILLED, ge=0.1, le=179.0)
    peak_cd: float | None = Field(default=None, ge=LEAST_LIGHT, le=1e9)
    lumens: float | None = Field(default=None, ge=LEAST_LIGHT, le=1e7)
    file: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=PRINTABLE,
        description=f"the path of a lamp file ({formats()}), relative to the scene file",
    )
    lens_mm: float = Field(default=60.0, ge=1.0, le=2000.0)
    kelvin: float | None = Field(default=None, ge=1000.0, le=20000.0)
    colour: Colour | None = Field(default=None, description=A_COLOUR)


class StringTable(Table):
    """String lights inside a ball: small LEDs that shine alike in every direction.

    leds: how many, unless `points_mm` tells. led_lumens: of each; 2 lm is what a small LED on a
    battery gives (common practice). led_mm: diameter. Of `kelvin` and `colour` one is set; of
    several colours the LEDs take turns. lay: a loose "bundle" of diameter `bundle_mm` about the
    ball's centre, a "coil" round the axis, or "points". twinkle_s: the period of a slow twinkle;
    without it the light is steady. seed: of the bundle, and of when each LED twinkles.
    """

    name: Name = Field(default=FILLED, description=A_NAME)
    ball: Name = Field(default=FILLED, description="a ball's name")
    leds: int = Field(default=50, ge=1, le=MOST_LEDS)
    led_lumens: float = Field(default=2.0, ge=LEAST_LIGHT, le=1e4)
    led_mm: float = Field(default=5.0, ge=0.1, le=100.0)
    kelvin: float | None = Field(default=None, ge=1000.0, le=20000.0)
    colour: Colour | Colours | None = Field(default=None, description=_COLOURS)
    lay: Literal["bundle", "coil", "points"] = FILLED
    bundle_mm: float | None = Field(default=None, ge=1.0, le=10000.0)
    coil_mm: float | None = Field(default=None, ge=1.0, le=10000.0)
    coil_height_mm: float | None = Field(default=None, ge=0.0, le=10000.0)
    turns: float | None = Field(default=None, gt=0.0, le=200.0)
    points_mm: InnerPoints | None = Field(default=None, description=_POINTS)
    twinkle_s: float | None = Field(default=None, ge=0.5, le=120.0)
    seed: int = Field(default=7, ge=0, le=2**53)
