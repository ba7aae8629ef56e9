"""What all tables of a scene file have in common, and the kinds of value that many of them hold."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from glint.files.colours import colour_code

FILLED: Any = None
"""Stands in for a default that depends on other tables. What `read_scene` returns has none left."""

FURTHEST = 200.0  # metres: no coordinate of a scene lies further out

Coordinate = Annotated[float, Field(ge=-FURTHEST, le=FURTHEST)]
Point = Annotated[tuple[Coordinate, Coordinate, Coordinate], Field(strict=False)]
FloorPoint = Annotated[tuple[Coordinate, Coordinate], Field(strict=False)]
Turn = Annotated[float, Field(ge=0.0, le=360.0)]
Angles = Annotated[tuple[Turn, Turn], Field(strict=False)]
NAMED_COLOUR = BeforeValidator(colour_code)
Colour = Annotated[str, NAMED_COLOUR, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]
"""A name of `glint.files.colours` is put into its code when it is read."""

PRINTABLE = r"^[^\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]*$"
"""Neither control characters nor those that turn the direction or the line of a text, nor the byte
order mark, which no font has and PDF writers fall over."""

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=PRINTABLE)]

A_POINT = "a point [x, y, z] in metres, each from -200 to 200"
A_FLOOR_POINT = "a point [x, y] in metres, each from -200 to 200"
TWO_ANGLES = "two angles [least, most] in degrees, each from 0 to 360"
A_COLOUR = 'a colour as "#rrggbb" or by name, such as "orange" or "warm white"'
A_NAME = "a name of 1 to 60 printable characters"


class Table(BaseModel):
    """A table of the file: nothing but its own keys, no NaN, no infinity, and never changed.

    kind_key: the key that says which of several tables this is, "" where there is but one.
    or_name: what may stand in place of the table, a name of something known; "" for nothing.
    """

    kind_key: ClassVar[str] = ""
    or_name: ClassVar[str] = ""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)

    @classmethod
    def nearest_name(cls, found: str) -> str | None:
        """The known name nearest to what was found in the table's place, None if none is near."""
        return None
