"""What tables of a scene file are made of: their base, and values that several tables share."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

FILLED: Any = None
"""Stands in for a default that depends on other tables. What `read_scene` returns has none left."""

PRINTABLE = r"^[^\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]*$"
"""Neither control characters nor those that turn the direction or the line of a text."""

Name = Annotated[str, Field(min_length=1, max_length=60, pattern=PRINTABLE)]
Colour = Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]
A_COLOUR = 'a colour as "#rrggbb"'


class Table(BaseModel):
    """A table of the file: nothing but its own keys, no NaN, no infinity, and never changed."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
