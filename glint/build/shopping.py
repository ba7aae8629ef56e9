"""One list of what all balls of a scene take, and what is missing of the tiles at hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from glint.build.hours import with_spares
from glint.build.inventory import Kind, kinds
from glint.build.wording import millimetres
from glint.scene.scene import Scene
from glint.schema.tables import WorkshopTable
from glint.shape.face_names import face_name

_MM = 1e-3
_ALIKE = 5e-5  # metres to which the edge of an owned tile and of one needed are the same


class Item(NamedTuple):
    """Tiles or panels that are all alike. kind: counts of it over all balls, spares on their sum;
    thickness: m; cut: whether they are cut to size; owned: how many are at hand, or None where
    nothing is said of any, or they are cut.
    """

    kind: Kind
    thickness: float
    cut: bool = False
    owned: int | None = None

    @property
    def short(self) -> int:
        """How many are missing, spares counted; nothing if nothing is said of what is at hand."""
        return 0 if self.owned is None else max(self.kind.with_spares - self.owned, 0)


def tiles_of(scene: Scene) -> tuple[Item, ...]:
    """The tiles of all balls, by kind, and how many of them are at hand."""
    workshop = scene.workshop
    rows = [
        Item(kind, ball.tile.thickness_mm * _MM, ball.body.cut_to_size)
        for ball in scene.balls
        for kind in kinds(ball.body.tiles, workshop.spare_percent)
    ]
    items = together(rows, workshop.spare_percent)
    return tuple(item._replace(owned=_owned(item, workshop)) for item in items)


def together(rows: Iterable[Item], spare_percent: float) -> tuple[Item, ...]:
    """What is alike counted together, in the order in which it comes first."""
    found: dict[tuple[object, ...], Item] = {}
    for item in rows:
        kind = item.kind
        sides = tuple(round(side / (2 * _ALIKE)) for side in kind.sides)
        key = kind.name, kind.regular, sides, round(item.thickness / _ALIKE), item.cut
        needed = kind.needed + (found[key].kind.needed if key in found else 0)
        spares = with_spares(needed, spare_percent)
        found[key] = item._replace(kind=kind._replace(needed=needed, with_spares=spares))
    return tuple(found.values())


def _owned(item: Item, workshop: WorkshopTable) -> int | None:
    if item.cut or not workshop.owned:
        return None
    kind = item.kind
    return sum(
        one.count
        for one in workshop.owned
        if kind.regular
        and kind.name == face_name(one.sides)
        and abs(kind.sides[0] - one.edge_mm * _MM) <= _ALIKE
        and abs(item.thickness - one.thickness_mm * _MM) <= _ALIKE
    )


def shortages(items: Sequence[Item]) -> tuple[str, ...]:
    """A line on each kind of tile of which there are too few, as warnings say it."""
    lines = []
    for item in items:
        kind, owned = item.kind, item.owned
        if item.short and owned is not None:
            what = f"{kind.name} tiles of {millimetres(kind.sides[0])}"
            broken = "" if owned < kind.needed else ", which only spares would need"
            lines.append(
                f"{kind.needed} {what} are needed, {kind.with_spares} with spares, and "
                f"{owned} are owned: {item.short} short{broken}"
            )
    return tuple(lines)


class Hardware(NamedTuple):
    """What hangs one ball. cord: m; rated: what each piece bears at least, kg."""

    ball: str
    cord: float
    rated: float


class Shopping(NamedTuple):
    """All that a scene's balls take. glue: kg, under tiles and in joints; cord: m, of which as much
    again goes into safety lines; cores: diameters of ready-made ones, m.
    """

    tiles: tuple[Item, ...]
    panels: tuple[Item, ...]
    cores: tuple[float, ...]
    glue: float
    cord: float
    hardware: tuple[Hardware, ...]

    @property
    def short(self) -> tuple[str, ...]:
        """What is missing of the tiles at hand."""
        return shortages(self.tiles)
