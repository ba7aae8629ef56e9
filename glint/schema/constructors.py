"""The tables of a scene as they are made in Python: the same keys, units and checks as in a file.

Each class is one table, frozen: `Ball(shape=Shape(base="cube"))` is what `[[ball]]` with
`shape = { base = "cube" }` is in a file. A wrong key or value raises a SceneError, in the words of
the commands. What several tables must agree on is checked when they meet in a scene.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal, get_args

from pydantic import ValidationError, create_model

from glint.errors import Problem, SceneError, in_words, listed
from glint.schema.edit import plain
from glint.schema.tables import (
    BallTable,
    EyeTable,
    HangTable,
    LampTable,
    MotionTable,
    OpticsTable,
    RoomTable,
    ShapeTable,
    StepTable,
    StringTable,
    Table,
    TileTable,
    WorkshopTable,
)
from glint.schema.validation_errors import problems_in

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


class _Checked(Table):
    """A table that is checked when it is made, and says in plain words what is wrong with it."""

    if not TYPE_CHECKING:

        def __init__(self, *places: Any, **keys: Any) -> None:
            name = type(self).__name__
            if places:
                allowed = f"keys by name: {listed(type(self).model_fields)}"
                raise SceneError(name, [Problem("", in_words(plain(places[0])), allowed)])
            values = plain(keys)
            try:
                super().__init__(**values)
            except ValidationError as error:
                raise SceneError(name, *problems_in(error, values, type(self))) from None


class Tile(TileTable, _Checked):
    __doc__ = TileTable.__doc__


class Step(StepTable, _Checked):
    __doc__ = StepTable.__doc__


class Hang(HangTable, _Checked):
    __doc__ = HangTable.__doc__


class Motion(MotionTable, _Checked):
    __doc__ = MotionTable.__doc__


class Lamp(LampTable, _Checked):
    __doc__ = LampTable.__doc__


class LedString(StringTable, _Checked):
    __doc__ = StringTable.__doc__


class Eye(EyeTable, _Checked):
    __doc__ = EyeTable.__doc__


class Optics(OpticsTable, _Checked):
    __doc__ = OpticsTable.__doc__


class Workshop(WorkshopTable, _Checked):
    __doc__ = WorkshopTable.__doc__


class Ball(BallTable, _Checked):
    __doc__ = BallTable.__doc__


class Shape(ShapeTable, _Checked):
    __doc__ = ShapeTable.__doc__

    @classmethod
    def from_vertices(
        cls, vertices: ArrayLike, faces: Sequence[Sequence[int]], tiles: str = "largest"
    ) -> Shape:
        """A closed body of flat convex faces.

        vertices: (v, 3) float, m. faces: of each the places of its corners in vertices, from 0,
        anticlockwise seen from outside. tiles: "largest", "triangle", "square" or "cut", which a
        face is given. The body hangs as it stands, +z up, by its centre of volume. Raises
        SceneError; that it is closed is checked when it is built.
        """
        return cls(vertices_m=vertices, faces=faces, tiles=tiles)


class Room(RoomTable, _Checked):
    """A room of any kind; `Dome`, `Bell` and the others are of one."""


def _rooms() -> dict[str, type[Room]]:
    """A constructor for each kind of room that a file may have, by its name in Python."""
    kinds = get_args(RoomTable.model_fields["kind"].annotation)
    text = "A room of the kind {!r}.\n\n{}"
    return {
        kind.title(): create_model(
            kind.title(),
            __base__=Room,
            __doc__=text.format(kind, RoomTable.__doc__),
            __module__=__name__,
            kind=(Literal[kind], kind),
        )
        for kind in kinds
    }


ROOMS = _rooms()
"""Constructors of rooms by name: a kind that is added to the file's tables is added here."""
