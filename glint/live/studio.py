"""What pages ask of a session, done one after the other, and what is worked out at rest."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from glint.errors import GlintError, Problem, SceneError
from glint.live.session.facts import schema_facts, shape_facts
from glint.live.session.problems import problem_facts
from glint.live.session.session import Session
from glint.live.wire import VERSION
from glint.live.worker import Asked, Tasks
from glint.render.views import SIZES
from glint.version import VERSION as GLINT

CHANGES = ("edit", "undo", "redo")


class Studio(Tasks):
    """One session, and all that its pages see of it. Runs in the worker's thread but for `stop`.

    folder: the only one that anything is read from or written to. deliver: sends a message to one
    page, or to all, in a slot; see `Outbox.put`.
    """

    deliver: Callable[..., None]

    def __init__(self, session: Session, folder: Path) -> None:
        self.session, self.folder = session, folder
        self._changed = False

    def act(self, asked: Asked) -> None:
        """As in Tasks."""
        kind = asked.message["type"]
        if kind in CHANGES:
            self._changed |= self.session.do(asked.message)
        else:
            getattr(self, f"_{kind}")(asked.page, asked.message)

    def settle(self) -> None:
        """Show all pages the scene as it stands now."""
        if self._changed:
            self._changed = False
            self.deliver(None, self.session.scene_packet(), "scene")

    def pose(self, asked: Asked) -> None:
        """As in Tasks."""
        self.deliver(asked.page, self.session.pose(asked.message), "pose")

    def rest(self, interrupted: Callable[[], bool]) -> bool:
        """As in Tasks."""
        return False

    def stop(self) -> None:
        """The end; called from another thread."""

    def tell(self, page: int | None, message: Mapping[str, Any], slot: str = "") -> None:
        """Send a JSON message."""
        self.deliver(page, json.dumps(message, allow_nan=False), slot)

    def tell_problem(self, asked: Asked, error: Exception) -> None:
        """Tell a page why what it asked for was not done."""
        if isinstance(error, SceneError):
            problems = error.problems
        elif isinstance(error, GlintError):
            problems = [Problem("", str(error), "")]
        else:
            problems = [Problem("", f"an error in glint itself ({type(error).__name__})", "")]
        kind, seq = asked.message["type"], asked.message.get("seq", 0)
        tables = self.session.history.now.tables
        facts = [problem_facts(problem, tables) for problem in problems]
        self.tell(asked.page, {"type": "problem", "seq": seq, "doing": kind, "problems": facts})

    def _welcome(self, page: int, message: Mapping[str, Any]) -> None:
        self.tell(
            page,
            {
                "type": "welcome",
                "version": VERSION,
                "glint": GLINT,
                "folder": self.folder.name,
                "scenes": sorted(path.name for path in self.folder.glob("*.toml"))[:200],
                "schema": schema_facts(),
                "shapes": shape_facts(),
                "sizes": list(SIZES),
                "limits": {"candidates": 8},
            },
        )
        self.deliver(page, self.session.scene_packet(), "scene")

    def _gone(self, page: int, message: Mapping[str, Any]) -> None:
        """Nothing of a page is left."""
