"""One evening under somebody's hands. All of it runs in one thread: see `glint.live.worker`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from glint.errors import GlintError, SceneError, UsageError, in_words, printable, require_number
from glint.files.atomic import whole_file
from glint.files.read import SCENE_LIMIT, FileError, read_regular_file
from glint.live.session.changes import added, removed
from glint.live.session.figures import of_the_body
from glint.live.session.history import History, State
from glint.live.session.journal import Journal, Left, Silent
from glint.scene.scene import Scene
from glint.schema.edit import edited, plain
from glint.schema.tables import SceneFile, Table

MOST_CANDIDATES = 8

CHANGES = ("edit", "add", "remove", "undo", "redo", "back")
KEEPS = ("keep", "drop")

STEPS = {"undo": -1, "redo": 1}

LONGEST_NAME = 60


@dataclass(frozen=True)
class Candidate:
    """A scene that was kept to hold others against. number: it keeps it, whatever is dropped."""

    number: int
    name: str
    state: State
    tiles: int
    figures: dict[str, float | None]


class Session:
    """A scene, how it came about, and what was kept of it.

    revision: grows with every change of the scene. last_edit: the seq of what was done last.
    """

    def __init__(self, scene: Scene, journal: Journal, is_file: bool) -> None:
        """is_file: whether the scene stands in a file, or was never saved."""
        self.journal = journal
        self.revision = 0
        self.begin(scene, is_file)

    def begin(self, scene: Scene, is_file: bool) -> None:
        """Another scene, with nothing done to it yet."""
        self.scene = scene
        self.history = History(State.of(scene))
        self.revision += 1
        self.last_edit = 0
        self.candidates: list[Candidate] = []
        self._numbers = 0
        self.saved = self.history.now if is_file else None
        now = self.history.now
        self.journal.begin({"path": str(now.path), "text": now.text, "tables": plain(now.tables)})

    def open(self, scene: Scene) -> None:
        """Another scene, of a file of its own, with a journal of its own."""
        self.journal.end()
        self.journal = Journal(scene.source.path, self.journal.folder)
        self.begin(scene, True)

    @property
    def unsaved(self) -> bool:
        """Whether there is something to save."""
        now = self.history.now
        return self.saved is None or self.saved.tables != now.tables or self.saved.path != now.path

    def do(self, message: Mapping[str, Any]) -> bool:
        """Do what changes the scene, or what is kept of it; whether the scene changed.

        Raises GlintError, and nothing has changed.
        """
        before = self.history.now
        line = getattr(self, f"_{message['type']}")(message)
        self.last_edit = message.get("seq", 0)
        if line is not None:
            self.journal.add(line)
        changed = self.history.now is not before
        self.revision += changed
        return changed

    def _edit(self, message: Mapping[str, Any]) -> dict[str, Any]:
        changes, group = message.get("changes"), message.get("group", "")
        if not isinstance(changes, Mapping) or not isinstance(group, str):
            raise UsageError(f"changes: found {in_words(changes)}; allowed: paths and new values")
        scene = self.scene.with_(changes)
        self._stand(scene, group[:LONGEST_NAME])
        return {"do": "edit", "changes": dict(changes), "group": group[:LONGEST_NAME]}

    def _add(self, message: Mapping[str, Any]) -> dict[str, Any]:
        return self._set(added(self.scene, message))

    def _remove(self, message: Mapping[str, Any]) -> dict[str, Any]:
        return self._set([removed(self.scene, message)])

    def _back(self, message: Mapping[str, Any]) -> dict[str, Any]:
        return self._set([self.candidate(message.get("number")).state.tables])

    def _set(self, choices: Iterable[dict[str, Any]]) -> dict[str, Any]:
        """Let the first tables stand that can be built."""
        now, problem = self.history.now, None
        for tables in choices:
            try:
                scene = State(tables, now.path, now.text).build(self.scene.cache)
            except SceneError as error:
                problem = problem or error
                continue
            self._stand(scene)
            return {"do": "set", "tables": plain(tables)}
        raise problem or GlintError("there is no room for it")

    def _undo(self, message: Mapping[str, Any]) -> dict[str, Any] | None:
        return self._step("undo") if self.history.can_undo else None

    def _redo(self, message: Mapping[str, Any]) -> dict[str, Any] | None:
        return self._step("redo") if self.history.can_redo else None

    def _step(self, way: str) -> dict[str, Any]:
        self.scene = self.history.beside(STEPS[way]).build(self.scene.cache)
        self.history.move(STEPS[way])
        return {"do": way}

    def _keep(self, message: Mapping[str, Any]) -> dict[str, Any]:
        if len(self.candidates) >= MOST_CANDIDATES:
            raise GlintError(f"{MOST_CANDIDATES} candidates are kept; drop one first")
        name = message.get("name") or self.scene.balls[0].name
        if not isinstance(name, str):
            raise UsageError(f"name: found {in_words(name)}; allowed: a text")
        self._numbers += 1
        tiles = sum(len(ball.body.tile_sides) for ball in self.scene.balls)
        name = printable(name, LONGEST_NAME)
        now, figures = self.history.now, of_the_body(self.scene)
        self.candidates.append(Candidate(self._numbers, name, now, tiles, figures))
        return {"do": "keep", "name": name}

    def _drop(self, message: Mapping[str, Any]) -> dict[str, Any]:
        candidate = self.candidate(message.get("number"))
        self.candidates.remove(candidate)
        return {"do": "drop", "number": candidate.number}

    def candidate(self, number: object) -> Candidate:
        """The candidate of a number. Raises UsageError."""
        for candidate in self.candidates:
            if candidate.number == number:
                return candidate
        numbers = ", ".join(str(one.number) for one in self.candidates) or "none is kept"
        raise UsageError(f"number: found {in_words(number)}; allowed: {numbers}")

    def _stand(self, scene: Scene, group: str = "") -> None:
        self.history.add(State.of(scene, group))
        self.scene = scene

    def save(self, path: Path, force: bool) -> None:
        """Write the scene as a file, which it then is. Raises GlintError.

        Its own file is written over, unless somebody else has changed that meanwhile.
        """
        now = self.history.now
        own = self.saved is not None and path == now.path
        if own and not force and path.exists() and not _holds(path, now.text):
            shown = printable(path.name)
            raise UsageError(f"{shown} was changed by another program; save under another name")
        text = self.scene.to_toml()
        with whole_file(path, force or own, (".toml",)) as place:
            place.write_bytes(text.encode())
        self.history.rename(path, text)
        self.saved = self.history.now
        self.scene = self.saved.build(self.scene.cache)
        self.revision += 1
        self.journal.add({"do": "saved", "path": str(path), "text": text})

    def take_back(self, left: Left) -> None:
        """Do again what a journal holds, all of it undoable. Raises GlintError where the scene
        cannot be built any more."""
        head = left.head
        first = State(head["tables"], Path(head["path"]), head.get("text"))
        again = Session(first.build(self.scene.cache), Silent(), first.text is not None)
        for action in left.actions:
            again._again(action)
        again.scene = again.history.now.build(self.scene.cache)
        self.journal.begin(head)
        for action in left.actions:
            self.journal.add(action)
        again.journal, again.revision = self.journal, self.revision + 1
        self.__dict__ = again.__dict__

    def _again(self, action: Mapping[str, Any]) -> None:
        """One action of a journal, without building what it leads to."""
        now, do = self.history.now, action.get("do")
        if do == "edit":
            tables = edited(now.tables, action["changes"])
            self.history.add(State(tables, now.path, now.text, action.get("group", "")))
        elif do == "set":
            self.history.add(State(action["tables"], now.path, now.text))
        elif do in ("undo", "redo"):
            self.history.move(STEPS[do])
        elif do == "saved":
            self.history.rename(Path(action["path"]), action["text"])
            self.saved = self.history.now
        elif do == "keep":
            self.scene = now.build(self.scene.cache)
            self._keep(action)
        elif do == "drop":
            self._drop(action)


def _holds(path: Path, text: str | None) -> bool:
    try:
        return read_regular_file(path, SCENE_LIMIT).decode("utf-8-sig") == text
    except (FileError, UnicodeDecodeError):
        return False


def filled(file: SceneFile) -> dict[str, Any]:
    """A scene's tables with every default, as JSON holds them."""
    return {key: _whole(getattr(file, key)) for key in SceneFile.model_fields}


def _whole(value: Any) -> Any:
    if isinstance(value, Table):
        return {key: _whole(getattr(value, key)) for key in type(value).model_fields}
    if isinstance(value, list | tuple):
        return [_whole(one) for one in value]
    return value


def seconds_of(message: Mapping[str, Any]) -> float:
    """The moment that a message asks for, s. Raises UsageError."""
    seconds = message.get("seconds", 0.0)
    require_number("seconds", seconds, -1e6, 1e6)
    return float(seconds)
