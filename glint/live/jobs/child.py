"""One file written, in a process of its own: asked on standard input, told line by line."""

from __future__ import annotations

import json
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO, Any, NamedTuple

from glint.errors import GlintError
from glint.files.apart import keep_apart
from glint.scene.build import build
from glint.schema.read import scene_of
from glint.schema.tables import SceneFile

Tell = Callable[[int, int], None]


class Order(NamedTuple):
    """What is to be written. scenes: tables, path and text of each; the first is the one that
    stands, the others are those that a report holds against it."""

    kind: str
    scenes: tuple[tuple[dict[str, Any], Path, str | None], ...]
    path: Path
    force: bool
    view: str
    size: int | tuple[int, int] | None
    seconds: float
    max_mb: float | None

    @property
    def files(self) -> list[SceneFile]:
        """The scenes, checked."""
        return [scene_of(*scene) for scene in self.scenes]


def write_still(order: Order, tell: Tell) -> list[Path]:
    """A picture of the moment."""
    from glint.files.atomic import whole_file
    from glint.render.still import draw
    from glint.render.writers.png import write_png
    from glint.render.writers.provenance import label

    scene = build(order.files[0])
    with whole_file(order.path, order.force, (".png",)) as place:
        picture = draw(scene.at(seconds=order.seconds), order.view, order.size)
        write_png(place, picture, label(scene.source))
    return [order.path]


def write_loop(order: Order, tell: Tell) -> list[Path]:
    """A loop of one period."""
    from glint.render.loop import loop

    loop(
        build(order.files[0]),
        order.path,
        order.view,
        size=order.size or 720,
        force=order.force,
        progress=tell,
        max_mb=order.max_mb,
    )
    return [order.path]


def write_report(order: Order, tell: Tell) -> list[Path]:
    """The page that holds the candidates against each other."""
    from glint.analysis.candidates import unlike
    from glint.errors import UsageError
    from glint.files.atomic import whole_file
    from glint.parallel.executors import Workers
    from glint.report.compare import compare
    from glint.report.page import page
    from glint.report.table import left_out, measured

    files = order.files
    answers = compare(files, Workers(1), pictures=True, tell=tell)
    if not measured(answers):
        raise UsageError("; ".join(left_out(answers)))
    with whole_file(order.path, order.force, (".html",)) as place:
        place.write_text(page(answers, files[0], unlike(files)), encoding="utf-8")
    return [order.path]


def write_build(order: Order, tell: Tell) -> list[Path]:
    """The folder with the build sheet and the net."""
    from glint.build.folder import write_folder
    from glint.build.pages import files_of
    from glint.build.sheet import sheet

    files = files_of(sheet(build(order.files[0])))
    write_folder(order.path, files, order.force)
    return [order.path / name for name in files]


def write_glb(order: Order, tell: Tell) -> list[Path]:
    """The geometry."""
    from glint.build.export import export

    scene = build(order.files[0])
    export(scene.at(seconds=order.seconds), order.path, force=order.force)
    return [order.path]


WRITERS = {
    "still": write_still,
    "loop": write_loop,
    "report": write_report,
    "build": write_build,
    "glb": write_glb,
}


def main() -> None:
    """Write what standard input orders; a line of JSON on standard output for every step."""
    # Cancelled, files are tidied up as after Ctrl-C; see `glint.files.atomic`.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    keep_apart()
    if hasattr(os, "nice"):
        os.nice(5)
    told = os.fdopen(os.dup(1), "w", encoding="utf-8", buffering=1)
    os.dup2(2, 1)  # what a library prints must not stand among the lines
    order: Order = pickle.load(sys.stdin.buffer)
    threading.Thread(target=_end_with_parent, args=(sys.stdin.buffer,), daemon=True).start()
    try:
        written = WRITERS[order.kind](order, lambda *steps: _say(told, "steps", steps))
        _say(told, "written", [str(path) for path in written])
    except GlintError as error:
        _say(told, "problem", str(error))


def _say(told: IO[str], key: str, value: str | Sequence[Any]) -> None:
    told.write(json.dumps({key: value}) + "\n")


def _end_with_parent(asked: IO[bytes]) -> None:
    """The pipe ends with the server, whatever ends it."""
    asked.read()
    os.kill(os.getpid(), signal.SIGTERM)
