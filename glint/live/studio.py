"""What pages ask of a session, done one after the other; and what follows from it."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from glint.errors import GlintError, Problem, SceneError
from glint.live.folder import Folder
from glint.live.jobs.jobs import Jobs
from glint.live.jobs.orders import order_of
from glint.live.packets.pose import pose_packet
from glint.live.packets.scene import scene_parts
from glint.live.packets.shapes import shapes_packet
from glint.live.pictures import Frames, Sight
from glint.live.rest import Rest, Strings, painted, with_revision
from glint.live.session.facts import schema_facts, shape_facts
from glint.live.session.journal import Left
from glint.live.session.problems import problem_facts
from glint.live.session.session import (
    CHANGES,
    KEEPS,
    MOST_CANDIDATES,
    Session,
    filled,
    seconds_of,
)
from glint.live.wire import VERSION, Kind, Packet
from glint.live.worker import Asked, Tasks
from glint.render.views import SIZES, VIEWS
from glint.scene.build import load
from glint.scene.cache import Same
from glint.schema.edit import plain
from glint.version import VERSION as GLINT

OFTEN = 0.2
"""Seconds between two sets of figures while edits or poses follow each other."""

Keys = Mapping[str, Any]


class Studio(Tasks):
    """One session, and all that its pages see of it. Runs in the worker's thread, but for `stop`.

    folder: the only one that anything is read from or written to. deliver: sends a message to one
    page, or to all, in a slot; see `Outbox.put`.
    """

    deliver: Callable[..., None]

    def __init__(self, session: Session, folder: Folder) -> None:
        self.session, self.folder = session, folder
        self.jobs = Jobs(self._tell_job)
        self.left: Left | None = session.journal.left()
        self.strings = Strings()
        self._sights: dict[int, Sight] = {}
        self._frames: dict[int, tuple[Any, Frames]] = {}
        self._painted: dict[int, Same] = {}
        self._strung: dict[int, list[Packet]] = {}
        self._seconds, self._playing = 0.0, False
        self._rest: Rest | None = None
        self._work: Iterator[None] | None = None
        self._packet: Packet | None = None
        self._changed = True
        self._told = 0.0

    def act(self, asked: Asked) -> None:
        """As in Tasks."""
        page, message = asked
        kind = message["type"]
        self._work = None
        if kind in CHANGES:
            self._changed |= self.session.do(message)
        elif kind in KEEPS:
            self.session.do(message)
            self._tell_candidates(None)
        else:
            getattr(self, f"_{kind}")(page, message)

    def settle(self) -> None:
        """As in Tasks: all pages see the scene as it stands now."""
        if self._changed:
            self.deliver(None, self.scene_packet(), "scene")
            self._tell_now()

    def pose(self, asked: Asked) -> None:
        """As in Tasks."""
        page, message = asked
        seconds = seconds_of(message)
        self._seconds, self._playing = seconds, message.get("playing") is True
        self._work = None
        session = self.session
        if message.get("frames") is not None:
            frame = self._frames_of(page, message).frame(seconds)
            packet = with_revision(frame, session.revision)._replace(seq=message["seq"])
            self.deliver(page, packet, "pose")
        else:
            pose = session.scene.at(seconds=seconds)
            self.deliver(page, pose_packet(pose, session.revision, message["seq"]), "pose")
        if self._playing:
            self._tell_now()

    def rest(self) -> bool:
        """As in Tasks."""
        if self._work is None:
            self._work = self._all_that_can_wait()
        try:
            next(self._work)
        except StopIteration:
            return False
        return True

    def stop(self) -> None:
        """The end; called from another thread."""
        self.jobs.stop()

    def tell(self, page: int | None, message: Keys, slot: str = "") -> None:
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
        facts = [problem_facts(problem) for problem in problems]
        self.tell(asked.page, {"type": "problem", "seq": seq, "doing": kind, "problems": facts})

    def _tell_job(self, facts: Keys) -> None:
        names = [Path(path).relative_to(self.folder.root).as_posix() for path in facts["written"]]
        self.tell(None, {**facts, "written": names}, f"job {facts['id']}")

    def scene_packet(self) -> Packet:
        """The scene as it stands, for a page."""
        session, history = self.session, self.session.history
        # What strings send hardly changes from edit to edit: until it is known anew, the last
        # stands.
        strung = self.strings.landed if session.scene.strings else {}
        facts, arrays = scene_parts(session.scene, strung)
        facts |= {
            "revision": session.revision,
            "seq": session.last_edit,
            "path": session.scene.source.path.name,
            "unsaved": session.unsaved,
            "can_undo": history.can_undo,
            "can_redo": history.can_redo,
            "tables": plain(history.now.tables),
            "filled": filled(session.scene.source),
        }
        self._changed, self._rest = False, None
        self._packet = Packet(Kind.SCENE, 0, facts, arrays)
        return self._packet

    def _current(self) -> Rest:
        """What is worked out for the scene as it stands."""
        if self._rest is None:
            packet = self._packet or self.scene_packet()
            self._rest = Rest(self.session.scene, self.session.revision, packet.facts, self._send)
        return self._rest

    def _send(self, page: int | None, message: Any, slot: str) -> None:
        if isinstance(message, Mapping):
            self.tell(page, message, slot)
        else:
            self.deliver(page, message, slot)

    def _tell_now(self) -> None:
        """Figures of the moment, unless there were some a moment ago."""
        now = time.monotonic()
        if now - self._told >= OFTEN:
            self._told = now
            self._current().now(self._seconds, self.strings)

    def _all_that_can_wait(self) -> Iterator[None]:
        if self._playing:
            return
        scene, current = self.session.scene, self._current()
        work = current.work(self._seconds, dict(self._sights), self.strings, self._fail)
        for _ in range(1 + len(self._sights)):
            next(work, None)
            yield
        yield from self._paint()
        if not self.strings.are_of(scene):
            yield from self.strings.work(scene)
            if self.strings.packets:
                self.deliver(None, self.scene_packet(), "scene")
                self._work = None
                yield
                return
        self._string_maps()
        yield from work

    def _paint(self) -> Iterator[None]:
        scene = self.session.scene
        for page, room in list(self._painted.items()):
            if room == Same(scene.room):
                continue
            packet = painted(scene)
            self._painted[page] = Same(scene.room)
            if packet is not None:
                self.deliver(page, with_revision(packet, self.session.revision), "paint")
            yield

    def _string_maps(self) -> None:
        for page, sent in self._strung.items():
            if sent is not self.strings.packets:
                self._strung[page] = self.strings.packets
                for number, packet in enumerate(self.strings.packets):
                    whole = with_revision(packet, self.session.revision)
                    self.deliver(page, whole, f"strings {number}")

    def _fail(self, page: int, doing: str, error: GlintError) -> None:
        self.tell_problem(Asked(page, {"type": doing, "seq": 0}), error)

    def _frames_of(self, page: int, message: Keys) -> Frames:
        sight = Sight.of(message, message["frames"])
        key = (self.session.revision, sight)
        if page not in self._frames or self._frames[page][0] != key:
            exposure = self._current().exposure
            self._frames[page] = (key, Frames(self.session.scene, sight, exposure))
        return self._frames[page][1]

    def _welcome(self, page: int, message: Keys) -> None:
        facts = {
            "type": "welcome",
            "version": VERSION,
            "glint": GLINT,
            "folder": self.folder.root.name,
            "scenes": self.folder.scenes(),
            "schema": schema_facts(),
            "shapes": shape_facts(),
            "sizes": list(SIZES),
            "views": list(VIEWS),
            "limits": {"candidates": MOST_CANDIDATES},
            "trouble": self.session.journal.trouble,
        }
        self.tell(page, facts)
        self._painted[page], self._strung[page] = Same(None), []
        self.deliver(page, self._packet or self.scene_packet(), "scene")
        self._tell_candidates(page)
        self._offer(page)
        self._told = 0.0

    def _gone(self, page: int, message: Keys) -> None:
        for kept in (self._sights, self._frames, self._painted, self._strung):
            kept.pop(page, None)
        # One that went while it played leaves the others at rest.
        self._playing = False

    def _view(self, page: int, message: Keys) -> None:
        if message.get("view") is None:
            self._sights.pop(page, None)
        else:
            self._sights[page] = Sight.of(message, message["view"])

    def _open(self, page: int, message: Keys) -> None:
        path = self.folder.inside(message.get("path"), (".toml",))
        scene = load(path)
        self.session.open(scene)
        self.left = self.session.journal.left()
        self._changed = True
        self._tell_candidates(None)
        self._offer(None)

    def _save(self, page: int, message: Keys) -> None:
        named = message.get("path")
        path = self.session.history.now.path
        if named is not None or self.session.saved is None:
            path = self.folder.inside(named, (".toml",))
        self.session.save(path, message.get("force") is True)
        self._changed = True
        saved = {"type": "saved", "path": path.name, "revision": self.session.revision}
        self.tell(None, saved)

    def _export(self, page: int, message: Keys) -> None:
        self.jobs.add(message.get("id"), order_of(message, self.session, self.folder))

    def _cancel(self, page: int, message: Keys) -> None:
        self.jobs.cancel(message.get("id"))

    def _recover(self, page: int, message: Keys) -> None:
        left = self.left
        if left is None:
            return
        if message.get("take") is True:
            self.session.take_back(left)
            self._changed = True
            self._tell_candidates(None)
        self.left = None
        left.file.unlink(missing_ok=True)

    def _shapes(self, page: int, message: Keys) -> None:
        self.deliver(page, shapes_packet(message["seq"]), "shapes")

    def _offer(self, page: int | None) -> None:
        if self.left is not None:
            title = str(self.left.head["tables"].get("title", ""))
            facts = {"edits": self.left.unsaved, "when": self.left.when, "title": title}
            self.tell(page, {"type": "recovered", **facts})

    def _tell_candidates(self, page: int | None) -> None:
        rows = [
            {"number": one.number, "name": one.name, "tiles": one.tiles, "now": one.figures}
            for one in self.session.candidates
        ]
        self.tell(page, {"type": "candidates", "candidates": rows}, "candidates")
