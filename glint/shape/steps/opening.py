"""Open: a face is left off, for the hanger or for light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar, Literal

from pydantic import Field

from glint.errors import ShapeError
from glint.shape.polyhedron import Polyhedron
from glint.shape.steps.choose import highest_faces, without
from glint.shape.steps.step import Part, Step, step


def open_faces(
    body: Polyhedron, sides: int, count: int = 1, key: str = "shape.steps"
) -> Polyhedron:
    """Leave off `count` faces, the highest first. Raises ShapeError where there are not that many,
    or no others.
    """
    chosen = highest_faces(body, sides, count, key)
    if len(chosen) == len(body.faces):
        raise ShapeError(
            f"{key} count", str(count), f"at most {count - 1}, so that a panel is left"
        )
    left_off = (*body.open_faces, *(body.faces[i] for i in chosen))
    return replace(body, faces=tuple(without(body.faces, chosen)), open_faces=left_off)


@step
class Open(Step):
    """Faces are left off: one, if no count is given."""

    opens: ClassVar[bool] = True

    do: Literal["open"] = Field(
        default="open",
        title="faces are left off, for the hanger or for light; one if no count is given",
    )

    @property
    def number(self) -> int:
        """How many faces are left off."""
        return self.count or 1

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """See `open_faces`."""
        return open_faces(body, self.sides, self.number, key)

    def done(self) -> str:
        """As "open"."""
        return "open"

    def parts(self, parent: Part | None) -> list[Part]:
        """None: nothing is there."""
        return []

    def owners(self, families: Sequence[list[Part]], panels: int) -> list[Part | None]:
        """Of no panels."""
        return []
