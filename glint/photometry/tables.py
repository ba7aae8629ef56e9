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

_COLOURS = f"{A_COLOUR}; or a list of 1 to 24 of them"
_POINTS = "a list of 1 to 500 points [x, y, z] in millimetres from the ball's centre"


LEAST_LIGHT = 1e-9
"""Least candela or lumens of a light: of much less, sums come out as nothing."""


class LampTable(Table):
    """One spotlight. Of `peak_cd`, `lumens` and `file` one is set, and of `kelvin` and `colour`."""

    name: Name = Field(
        default=FILLED,
        description=A_NAME,
        title='name of the lamp; without it, "lamp 1", "lamp 2" and so on',
    )
    at_m: Point = Field(
        default=FILLED,
        description=A_POINT,
        title="where it stands; without it, evenly around the room at 0.75 of its radius, 1.6 m up",
    )
    aim: str | Point = Field(
        default=FILLED,
        description=f"a ball's name, or {A_POINT}",
        title="what it points at; without it, the first ball",
    )
    beam_deg: float = Field(
        default=6.0,
        ge=0.1,
        le=160.0,
        title="full angle at which the light is half as strong as on the axis",
    )
    field_deg: float = Field(
        default=FILLED,
        ge=0.1,
        le=179.0,
        title="full angle at which a tenth is left; without it, 1.7 times beam_deg or less",
    )
    peak_cd: float | None = Field(
        default=None,
        ge=LEAST_LIGHT,
        le=1e9,
        title="intensity on the axis; this, lumens or file; without it, 20,000 cd",
    )
    lumens: float | None = Field(
        default=None, ge=LEAST_LIGHT, le=1e7, title="light of the whole lamp, in place of peak_cd"
    )
    file: str | None = Field(
        default=None,
        min_length=1,
        max_length=1000,
        pattern=PRINTABLE,
        description=f"the path of a lamp file ({formats()}), relative to the scene file",
        title="a lamp file, in place of angles and intensity; with lumens in it",
    )
    lens_mm: float = Field(
        default=60.0, ge=1.0, le=2000.0, title="diameter of the lens; it softens the edges of spots"
    )
    kelvin: float | None = Field(
        default=None,
        ge=1000.0,
        le=20000.0,
        title="colour temperature; without it, 3200, unless there is a colour",
    )
    colour: Colour | None = Field(
        default=None, description=A_COLOUR, title="colour of the light, in place of kelvin"
    )


class StringTable(Table):
    """String lights inside a ball: small LEDs that shine alike in every direction.

    2 lm is what a small LED on a battery gives (common practice). Of `kelvin` and `colour` one is
    set, or neither.
    """

    name: Name = Field(
        default=FILLED,
        description=A_NAME,
        title='name of the string; without it, "string 1", "string 2" and so on',
    )
    ball: Name = Field(
        default=FILLED,
        description="a ball's name",
        title="the ball that it lies in; without it, the first",
    )
    leds: int = Field(
        default=50, ge=1, le=MOST_LEDS, title="number of LEDs; with points_mm the number of points"
    )
    led_lumens: float = Field(default=2.0, ge=LEAST_LIGHT, le=1e4, title="light of each LED")
    led_mm: float = Field(default=5.0, ge=0.1, le=100.0, title="diameter of each LED")
    kelvin: float | None = Field(
        default=None,
        ge=1000.0,
        le=20000.0,
        title="colour temperature; without it, 2700, unless there is a colour",
    )
    colour: Colour | Colours | None = Field(
        default=None,
        description=_COLOURS,
        title="colour in place of kelvin; of several the LEDs take turns",
    )
    lay: Literal["bundle", "coil", "points"] = Field(
        default=FILLED,
        title='how it lies; without it, "points" if there are points_mm, else "bundle"',
    )
    bundle_mm: float | None = Field(
        default=None,
        ge=1.0,
        le=10000.0,
        title="diameter of a loose bundle about the ball's centre; without it, 0.6 of what fits in",
    )
    coil_mm: float | None = Field(
        default=None,
        ge=1.0,
        le=10000.0,
        title="diameter of a coil about the axis; without it, 0.6 of what fits in",
    )
    coil_height_mm: float | None = Field(
        default=None, ge=0.0, le=10000.0, title="height of a coil; without it, 0.8 of its diameter"
    )
    turns: float | None = Field(
        default=None, gt=0.0, le=200.0, title="turns of a coil; without it, 5"
    )
    points_mm: InnerPoints | None = Field(
        default=None, description=_POINTS, title="where each LED is, in the ball at rest"
    )
    twinkle_s: float | None = Field(
        default=None, ge=0.5, le=120.0, title="period of a slow twinkle; without it, steady"
    )
    seed: int = Field(
        default=7, ge=0, le=2**53, title="seed of the bundle and of when each LED twinkles"
    )
