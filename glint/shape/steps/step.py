"""What every step of building is: the keys of its table, what it does, and its words.

A step is one class in a file of this folder, registered by `@step`:

    do: the word for it in a scene file, as the one value of a `Literal`
    further fields: keys of its own, with their bounds
    apply: from polyhedron to polyhedron; new faces last, and those of one face in a row
    done: what has happened to the faces, in words
    parts, owners: the sub-assemblies that the build sheet shows for it
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import ClassVar, TypeVar

from pydantic import Field

from glint.files.table import Table
from glint.shape.face_names import counted, face_name
from glint.shape.polyhedron import Polyhedron

PYRAMIDS = {3: "three-sided pyramid", 4: "four-sided pyramid", 5: "five-sided pyramid"}


class Part:
    """One sub-assembly: what it is, in which it lies, and which lie in it.

    panels: its own single panels by name; filled in once all steps are done.
    """

    def __init__(self, name: str, parent: Part | None) -> None:
        self.name, self.parent = name, parent
        self.panels: Counter[str] = Counter()
        self.children: list[Part] = []
        if parent is not None:
            parent.children.append(self)


class Step(Table):
    """One step of building: which faces, by their number of sides, and how many of them.

    Without a count all such faces are taken. Where they differ in size, the largest are meant.
    opens: whether it leaves faces off.
    """

    kind_key: ClassVar[str] = "do"
    opens: ClassVar[bool] = False

    do: str
    sides: int = Field(ge=3, le=12, title="sides of the faces that are meant")
    count: int | None = Field(
        default=None, ge=1, le=100000, title="how many of them, the highest first; without it, all"
    )

    @property
    def number(self) -> int | None:
        """How many faces are taken, the highest first; None for all."""
        return self.count

    def apply(self, body: Polyhedron, key: str) -> Polyhedron:
        """The body after the step. key: of the step, for errors. Raises ShapeError."""
        raise NotImplementedError

    def done(self) -> str:
        """What has happened to the faces, as "raised"."""
        raise NotImplementedError

    def in_words(self) -> str:
        """As "2 squares raised"."""
        face = face_name(self.sides)
        which = f"{face}s" if self.number is None else counted(self.number, face)
        return f"{which} {self.done()}"

    def parts(self, parent: Part | None) -> list[Part]:
        """The sub-assemblies made of one face, whichever part it lay in."""
        raise NotImplementedError

    def owners(self, families: Sequence[list[Part]], panels: int) -> list[Part | None]:
        """Which part each of the new panels belongs to, in their order.

        families: of each face the `parts`. panels: how many are new, all together.
        """
        each = panels // len(families)
        return [family[0] for family in families for _ in range(each)]


STEPS: dict[str, type[Step]] = {}
"""Every step by its word."""

Kind = TypeVar("Kind", bound=type[Step])


def step(kind: Kind) -> Kind:
    """Register a step."""
    STEPS[kind.model_fields["do"].default] = kind
    return kind
