"""The tables of a scene as they are made in Python: the same keys, units and checks as in a file.

Each class is one table, frozen: `Ball(shape=Shape(base="cube"))` is what `[[ball]]` with
`shape = { base = "cube" }` is in a file. A wrong key or value raises a SceneError, in the words of
the commands. What several tables must agree on is checked when they meet in a scene.
"""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from glint.errors import Problem, SceneError, in_words, listed
from glint.files.table import Table
from glint.photometry.tables import LampTable, StringTable
from glint.schema.describe import kind_of, tables_in
from glint.schema.edit import plain
from glint.schema.lengths import Lengths
from glint.schema.tables import BallTable, EyeTable, MotionTable, OpticsTable, SceneFile
from glint.schema.validation_errors import problems_in
from glint.shape import steps
from glint.shape.tables import HangTable, ShapeTable, TileTable, WorkshopTable

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
            lengths = Lengths(plain(keys), type(self))
            problems, more = lengths.problems, 0
            try:
                super().__init__(**lengths.tables)
            except ValidationError as error:
                found, more = problems_in(error, lengths.tables, type(self))
                problems = [*found, *problems]
            if problems:
                raise lengths.told_error(SceneError(name, problems, more))


class Tile(TileTable, _Checked):
    __doc__ = TileTable.__doc__


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


def _checked(table: type[Table], name: str) -> type[Table]:
    """The constructor of a table that is one of several: its kind need not be told."""
    kind = table.kind_key

    def make(self: Any, *places: Any, **keys: Any) -> None:
        # Told as if it had been given, as it must be in a file.
        _Checked.__init__(self, *places, **{kind: table.model_fields[kind].default, **keys})

    return types.new_class(
        name,
        (table, _Checked),
        exec_body=lambda body: body.update(
            {"__module__": __name__, "__doc__": table.__doc__, "__init__": make}
        ),
    )


KINDS = {
    name: _checked(table, name)
    for table in (*tables_in(SceneFile.model_fields["room"].annotation), *steps.STEPS.values())
    for name in (str(kind_of(table)).title(),)
}
"""Constructors of rooms and of steps by their names in Python, `Dome(radius_m=4)`,
`Raise(sides=3)`: a kind that is added to the file's tables is here at once."""
