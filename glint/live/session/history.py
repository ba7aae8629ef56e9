"""Undo and redo without end: every state of a scene's tables, and the one that stands now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from glint.scene.cache import SharedCache
from glint.scene.scene import Scene
from glint.schema.read import scene_of
from glint.schema.written import tables_of


@dataclass(frozen=True)
class State:
    """A scene as its tables, from which it is built again; text: of the file they came from.

    group: edits in a row with the same one, which is not empty, are one step.
    """

    tables: dict[str, Any]
    path: Path
    text: str | None
    group: str = ""

    @classmethod
    def of(cls, scene: Scene, group: str = "") -> State:
        """The state of a scene."""
        return cls(tables_of(scene.source), scene.source.path, scene.source.text, group)

    def build(self, cache: SharedCache) -> Scene:
        """The scene again; what its neighbours had worked out is not worked out anew."""
        return Scene.of(scene_of(self.tables, self.path, self.text), cache)


class History:
    """States in their order, and which of them stands."""

    def __init__(self, first: State) -> None:
        self._states, self._at = [first], 0

    @property
    def now(self) -> State:
        """The state that stands."""
        return self._states[self._at]

    @property
    def can_undo(self) -> bool:
        """Whether there is a state before."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is a state that was undone."""
        return self._at + 1 < len(self._states)

    def add(self, state: State) -> None:
        """Let another state stand; what was undone before is gone."""
        merges = bool(state.group) and self.can_undo and state.group == self.now.group
        del self._states[self._at + (0 if merges else 1) :]
        self._states.append(state)
        self._at = len(self._states) - 1

    def beside(self, step: int) -> State:
        """The state one step on, or back (-1)."""
        return self._states[self._at + step]

    def move(self, step: int) -> None:
        """Let the state stand that is one step on, or back (-1), if there is one."""
        self._at = min(max(self._at + step, 0), len(self._states) - 1)

    def rename(self, path: Path, text: str) -> None:
        """All states are now of another file; text: what it holds."""
        self._states = [replace(state, path=path, text=text) for state in self._states]
