"""The scenes that are held against each other: the same evening with another ball in its place."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from glint.errors import UsageError
from glint.schema.tables import SceneFile, ShapeTable, TileTable
from glint.shape.catalogue import Entry, catalogue
from glint.shape.steps import step_of


def candidates_of(file: SceneFile) -> list[SceneFile]:
    """A scene for each `[[candidate]]`, or the scene itself where it has none.

    All is the same but the first ball's shape, tiles and what of it points up: its name, so that
    lamps aimed at it still are, its hanging point and its motion stay.
    """
    if not file.candidate:
        return [file]
    return [hung_instead(file, row.name, row.shape, row.tile, row.by) for row in file.candidate]


def catalogue_candidates(file: SceneFile, triangles: int, squares: int) -> list[SceneFile]:
    """A scene for each shape of the catalogue that a stock of tiles makes.

    Raises UsageError where the stock makes none.
    """
    tile = file.ball[0].tile
    fitting = [
        entry
        for entry in catalogue()
        if entry.buildable and entry.triangles <= triangles and entry.squares <= squares
    ]
    if not fitting:
        raise UsageError(
            f"no shape of the catalogue is made of {triangles} triangles and {squares} squares"
        )
    return [hung_instead(file, entry.name, _shape(entry), tile, "vertex") for entry in fitting]


def _shape(entry: Entry) -> ShapeTable:
    steps: Sequence[dict] = tomllib.loads(f"steps = {entry.steps}")["steps"]
    return ShapeTable.model_validate(
        {
            "base": entry.base,
            "sides": entry.sides,
            "steps": [step_of(**step) for step in steps],
        }
    )


def hung_instead(
    file: SceneFile, name: str, shape: ShapeTable, tile: TileTable, by: str
) -> SceneFile:
    """The scene with another first ball; its title is the ball's name."""
    first = file.ball[0]
    hang = first.hang.model_copy(update={"by": by, "sides": None})
    ball = first.model_copy(update={"shape": shape, "tile": tile, "hang": hang})
    return file.replaced(title=name, ball=(ball, *file.ball[1:]), candidate=())


def told_apart(files: Sequence[SceneFile]) -> list[SceneFile]:
    """The scenes, those of equal title with the name of their file behind it: as much of its path
    as tells them apart, and a number where one file gives the same title again."""
    alike = Counter(file.title for file in files)
    seen: Counter[tuple[str, Path]] = Counter()
    found = []
    for file in files:
        if alike[file.title] == 1:
            found.append(file)
            continue
        others = {one.path for one in files if one.title == file.title}
        mark = _short(file.path, others)
        seen[file.title, file.path] += 1
        if seen[file.title, file.path] > 1:
            mark += f", {seen[file.title, file.path]}"
        found.append(file.replaced(title=f"{file.title} ({mark})"))
    return found


def _short(path: Path, others: set[Path]) -> str:
    """The end of a path that none of the others has."""
    for parts in range(1, len(path.parts) + 1):
        end = path.parts[-parts:]
        if sum(other.parts[-parts:] == end for other in others) == 1:
            return "/".join(end)
    return str(path)


def unlike(files: Sequence[SceneFile]) -> list[str]:
    """What the scenes do not have in common though a fair comparison would: in words."""
    first = files[0]
    found = []
    for what, same in (
        ("room", lambda file: file.room),
        ("lamps", lambda file: [lamp.model_copy(update={"name": ""}) for lamp in file.lamp]),
        ("strings", lambda file: [one.model_copy(update={"name": ""}) for one in file.string]),
        ("hanging point", lambda file: (file.ball[0].hang.height_m, file.ball[0].hang.at_m)),
        ("motion", lambda file: file.ball[0].motion),
        ("visible_contrast", lambda file: file.visible_contrast),
    ):
        if any(same(file) != same(first) for file in files[1:]):
            found.append(what)
    return found
