"""Every kind of room: the one place that names them all."""

from __future__ import annotations

from typing import Annotated

from pydantic import Discriminator, Tag

from glint.room.bell import BellTable
from glint.room.dome import DomeTable
from glint.room.hall import HallTable
from glint.room.yurt import YurtTable

DEFAULT = "dome"


def _kind(value: object) -> object:
    """The kind that a table gives; a value that is no table is reported as a dome's would be."""
    if isinstance(value, dict):
        return value.get("kind", DEFAULT)
    return getattr(value, "kind", DEFAULT)


AnyRoom = Annotated[
    Annotated[DomeTable, Tag("dome")]
    | Annotated[BellTable, Tag("bell")]
    | Annotated[HallTable, Tag("hall")]
    | Annotated[YurtTable, Tag("yurt")],
    Discriminator(_kind),
]
