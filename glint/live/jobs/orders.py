"""What a page may have written, and where."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from glint.errors import UsageError, in_words, require_choice, require_number
from glint.live.folder import Folder
from glint.live.jobs.child import WRITERS, Order
from glint.live.session.history import State
from glint.live.session.session import Session, seconds_of
from glint.render.canvas import pixels_of
from glint.render.views import VIEWS
from glint.schema.tables import SceneFile

ENDINGS = {
    "still": (".png",),
    "loop": (".mp4", ".gif", ".webp", ".png"),
    "report": (".html",),
    "build": (),
    "glb": (".glb", ".stl", ".obj", ".ply"),
}


def order_of(message: Mapping[str, Any], session: Session, folder: Folder) -> Order:
    """What a message orders. Raises UsageError for what is not allowed, or is there already."""
    kind = require_choice("kind", message.get("kind"), WRITERS)
    path = folder.inside(message.get("path"), ENDINGS[kind])
    force = message.get("force") is True
    if path.exists() and not force:
        raise UsageError(f"{path.name} exists; replace it, or give another name")
    keep_inputs(session, path)
    size, most = message.get("size"), message.get("max_mb")
    if isinstance(size, list):
        size = tuple(size)
    if size is not None and not isinstance(size, int | str | tuple):
        raise UsageError(f"size: found {in_words(size)}; allowed: a height, or two sides")
    if most is not None:
        require_number("max_mb", most, 0.01, 10_000.0)
    states = [session.history.now]
    if kind == "report" and session.candidates:
        states = [candidate.state for candidate in session.candidates]
    names = [candidate.name for candidate in session.candidates]
    return Order(
        kind=kind,
        scenes=tuple(_scene(state, name) for state, name in _named(states, names)),
        path=path,
        force=force,
        view=require_choice("view", message.get("view", "dome"), VIEWS),
        size=None if size is None else pixels_of(size),
        seconds=seconds_of(message),
        max_mb=most,
    )


def keep_inputs(session: Session, path: Any) -> None:
    """Raises UsageError for a path that the scene is read from."""
    file: SceneFile = session.scene.source
    named = [lamp.file for lamp in file.lamp] + [ball.shape.mesh for ball in file.ball]
    inputs = [file.path, *(file.folder / name for name in named if name is not None)]
    if path.exists() and any(one.exists() and path.samefile(one) for one in inputs):
        raise UsageError(f"{path.name} is read for this scene; give another name")


def _named(states: list[State], names: list[str]) -> list[tuple[State, str | None]]:
    """A report tells scenes apart by their titles."""
    if len(states) != len(names):
        return [(state, None) for state in states]
    return list(zip(states, names, strict=True))


def _scene(state: State, name: str | None) -> tuple[dict[str, Any], Any, str | None]:
    tables = state.tables if name is None else {**state.tables, "title": name}
    return tables, state.path, state.text
