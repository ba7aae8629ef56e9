"""A scene file from disk to a filled model, or every one of its problems at once."""

from __future__ import annotations

import re
import tomllib
from os import fspath
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from glint.errors import Problem, SceneError, in_words, printable
from glint.files.read import SCENE_LIMIT, FileError, read_regular_file
from glint.schema.defaults import fill
from glint.schema.lengths import Lengths
from glint.schema.rules import check, check_directions
from glint.schema.tables import SceneFile
from glint.schema.validation_errors import MOST_PROBLEMS, problems_in

MOST_DOTS = 100
"""Dots in a line. The time to read a dotted key grows with the square of their number."""

_PLACE = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)$")
_PART = re.compile(r"'([^']*)'")
_KEY = re.compile(r"\((?:'[^']*',? ?)+\)")


def read_scene(path: str | Path) -> SceneFile:
    """The scene of a file, with every default filled in. Raises SceneError."""
    shown = fspath(path)
    try:
        data = read_regular_file(Path(path), SCENE_LIMIT)
    except FileError as error:
        problem = Problem("", error.found, error.allowed, error.nearest)
        raise SceneError(shown, [problem]) from None
    return scene_of(parse(data, shown), path, data.decode("utf-8-sig"))


def scene_of(
    tables: dict[str, Any], path: str | Path = "scene.toml", text: str | None = None
) -> SceneFile:
    """The scene of tables as they stand in a file, with every default filled in.

    path: the file they came from or might have come from: errors name it, and files that the
    scene names are looked up from its folder. text: what they were read from; when the scene is
    written again, its comments stay. Raises SceneError.
    """
    shown = fspath(path)
    lengths = Lengths(tables, SceneFile)
    metric = lengths.tables
    problems: list[Problem] = []
    scene, more = None, 0
    try:
        scene = SceneFile.model_validate(metric)
    except ValidationError as error:
        problems, more = problems_in(error, metric)
    problems += lengths.problems
    places = {problem.where for problem in problems}
    problems += [problem for problem in check(metric) if problem.where not in places]
    if scene is not None and not problems:
        scene = fill(scene)
        scene._path, scene._tables, scene._text = Path(path), tables, text
        scene._as_written = lengths.told_error
        problems += check_directions(scene)
    if scene is None or problems:
        more += max(len(problems) - MOST_PROBLEMS, 0)
        raise lengths.told_error(SceneError(shown, problems[:MOST_PROBLEMS], more))
    return scene


def parse(data: bytes, shown: str) -> dict[str, Any]:
    """The tables of a TOML 1.0 file in UTF-8. shown: its name in errors. Raises SceneError."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        wrong = data.count(b"\n", 0, error.start) + 1
        found = f"the byte 0x{data[error.start]:02x}, which is not UTF-8"
        raise SceneError(shown, [Problem(f"line {wrong}", found, "text in UTF-8")]) from None
    lines = text.split("\n")
    dots = [0 if line.lstrip().startswith("#") else line.count(".") for line in lines]
    if max(dots) > MOST_DOTS:
        where, found = f"line {dots.index(max(dots)) + 1}", f"{max(dots)} dots"
        raise SceneError(shown, [Problem(where, found, f"at most {MOST_DOTS} in a line")])
    try:
        return tomllib.loads(text)
    except RecursionError:
        problem = Problem("", "lists or tables nested too deep", "at most a few levels")
    except ValueError as error:
        problem = _syntax(str(error), lines)
    raise SceneError(shown, [problem])


def _syntax(message: str, lines: list[str]) -> Problem:
    """What the TOML reader said, as a problem with its line."""
    position = _PLACE.search(message)
    reason = message[: position.start()].strip() if position else message
    # A key comes as the tuple of its parts: say it as it is written.
    reason = _KEY.sub(lambda key: ".".join(_PART.findall(key[0])), reason)
    reason = printable(f"{reason[:1].lower()}{reason[1:]}", 120)
    if position and position[1]:
        number, column = int(position[1]), position[2]
        line = in_words(lines[min(number, len(lines)) - 1].strip())
        return Problem(f"line {number}", f"{line} (column {column}: {reason})", "valid TOML")
    if position:
        return Problem(f"line {len(lines)}", f"the end of the file ({reason})", "valid TOML")
    return Problem("", f"a value that cannot be read ({reason})", "valid TOML")
