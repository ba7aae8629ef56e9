"""The tables of a scene as they are made in Python: the same keys, units and checks as in a file.

Each class is one table, frozen: `Ball(shape=Shape(base="cube"))` is what `[[ball]]` with
`shape = { base = "cube" }` is in a file. A wrong key or value raises a SceneError, in the words of
the commands. What several tables must agree on is checked when they meet in a scene.
"""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal, get_args

from pydantic import ValidationError

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
        told: dict[str, Any] = {"vertices_m": vertices, "faces": faces, "tiles": tiles}
        return cls(**told)


class Room(RoomTable, _Checked):
    """A room of any kind; `Dome`, `Bell` and the others are of one."""

    if not TYPE_CHECKING:

        def __init__(self, *places: Any, **keys: Any) -> None:
            # Told as if it had been given, as it must be in a file.
            super().__init__(*places, **{"kind": type(self).model_fields["kind"].default, **keys})


def _room(kind: str) -> type[Room]:
    name, text = kind.title(), f"A room of the kind {kind!r}.\n\n{RoomTable.__doc__}"
    annotations = {"kind": Literal[kind]}  # pyright: ignore[reportInvalidTypeForm]
    keys = {"__module__": __name__, "__doc__": text, "__annotations__": annotations, "kind": kind}
    return types.new_class(name, (Room,), exec_body=lambda body: body.update(keys))


ROOMS = {kind.title(): _room(kind) for kind in get_args(RoomTable.model_fields["kind"].annotation)}
"""Constructors of rooms by their names in Python: a kind that is added to the file's tables is
here at once."""
