"""One evening under somebody's hands. All of it runs in one thread: see `glint.live.worker`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from glint.errors import GlintError, require_number
from glint.live.packets.pose import pose_packet
from glint.live.packets.scene import scene_parts
from glint.live.session.history import History, State
from glint.live.wire import Kind, Packet
from glint.scene.scene import Scene
from glint.schema.edit import plain
from glint.schema.tables import SceneFile, Table

Send = Callable[[Any], None]

MOST_SECONDS = 1e6


class Session:
    """A scene, how it came about, and what is worked out for those who look at it.

    revision: grows with every change of the scene.
    """

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.history = History(State.of(scene))
        self.revision = 1
        self.last_edit = 0
        self._saved = self.history.now

    @property
    def unsaved(self) -> bool:
        """Whether there is something to save."""
        return self.history.now is not self._saved

    def do(self, message: Mapping[str, Any]) -> bool:
        """Do what changes the scene; whether it did. Raises GlintError, and nothing has changed."""
        action = getattr(self, f"_do_{message['type']}")
        before = self.history.now
        action(message)
        self.last_edit = message.get("seq", 0)
        changed = self.history.now is not before
        self.revision += changed
        return changed

    def _do_edit(self, message: Mapping[str, Any]) -> None:
        changes, group = message.get("changes"), message.get("group", "")
        if not isinstance(changes, Mapping) or not isinstance(group, str):
            raise GlintError("edit: found no changes; allowed: paths and new values")
        scene = self.scene.with_(changes)
        self.history.add(State.of(scene, group[:60]))
        self.scene = scene

    def _do_undo(self, message: Mapping[str, Any]) -> None:
        if self.history.can_undo:
            self.scene = self.history.undo().build(self.scene.cache)

    def _do_redo(self, message: Mapping[str, Any]) -> None:
        if self.history.can_redo:
            self.scene = self.history.redo().build(self.scene.cache)

    def scene_packet(self) -> Packet:
        """The scene as it stands, for a page."""
        facts, arrays = scene_parts(self.scene)
        history = self.history
        facts |= {
            "revision": self.revision,
            "seq": self.last_edit,
            "path": str(self.scene.source.path.name),
            "unsaved": self.unsaved,
            "can_undo": history.can_undo,
            "can_redo": history.can_redo,
            "tables": plain(history.now.tables),
            "filled": _filled(self.scene.source),
        }
        return Packet(Kind.SCENE, 0, facts, arrays)

    def pose(self, message: Mapping[str, Any]) -> bytes:
        """A pose that is asked for, as bytes."""
        seconds = message.get("seconds", 0.0)
        require_number("seconds", seconds, -MOST_SECONDS, MOST_SECONDS)
        return pose_packet(self.scene.at(seconds=float(seconds)), self.revision, message["seq"])


def _filled(file: SceneFile) -> dict[str, Any]:
    return {key: _whole(getattr(file, key)) for key in SceneFile.model_fields}


def _whole(value: Any) -> Any:
    """A table with every default, as JSON holds it."""
    if isinstance(value, Table):
        return {key: _whole(getattr(value, key)) for key in type(value).model_fields}
    if isinstance(value, list | tuple):
        return [_whole(one) for one in value]
    return value
