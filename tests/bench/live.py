"""The live page's server: a pose, an edit, and the exact pictures after it.

All by the calls that the server makes, in one thread, without the socket.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import glint
from glint.live.folder import Folder
from glint.live.packets.pose import pose_packet
from glint.live.pictures import Sight, exact
from glint.live.session.journal import Silent
from glint.live.session.session import Session
from glint.live.studio import Studio
from glint.live.wire import Packet, pack, unpack
from tests.bench.command import SCENES
from tests.bench.edits import EDITS
from tests.bench.figures import Figure, median

NAMES = ("spiked-twenty", "yardstick", "orchard", "windfall")
KINDS = ("lamp", "height", "speed")

POSE_MS, EDIT_MS, DOME_MS, EYE_MS = 3.0, 30.0, 60.0, 300.0
"""Bars; that of a pose is for up to MOST_BEAMS beams."""

MOST_BEAMS = 500
BYTES = 200.0

DOME, EYE = Sight("dome", (1024, 1024)), Sight("eye", (1280, 720))


def measure(quick: bool) -> Iterator[Figure]:
    """Milliseconds, and bytes a beam."""
    repeats = 4 if quick else 12
    for name in NAMES[:2] if quick else NAMES:
        yield from _poses(name, repeats)
        yield from _edits(name, repeats)


def _poses(name: str, repeats: int) -> Iterator[Figure]:
    scene = glint.load(SCENES / f"{name}.toml")
    pose_packet(scene.at(seconds=0.0), 1, 1)
    runs = [
        _timed(lambda k=k: pose_packet(scene.at(seconds=0.1 * k), 1, 1)) for k in range(repeats)
    ]
    arrays = [unpack(data).arrays for _, data in runs]
    count = max(len(one["beam"]) for one in arrays)
    bar = POSE_MS if count <= MOST_BEAMS else None
    yield _figure(f"live, {name}: a pose of {count} beams", [spent for spent, _ in runs], bar)
    sizes = [(one["beam"].nbytes + one["corner"].nbytes) / len(one["beam"]) for one in arrays]
    yield Figure(f"live, {name}: bytes a beam", tuple(sizes), "", BYTES)


def _edits(name: str, repeats: int) -> Iterator[Figure]:
    session = Session(glint.load(SCENES / f"{name}.toml"), Silent(), True)
    studio = Studio(session, Folder(SCENES))
    studio.deliver = _packed
    for kind in KINDS:
        edits, domes, eyes = [], [], []
        for number in range(repeats + 1):
            edit = {"type": "edit", "changes": EDITS[kind](number)}
            edits.append(_timed(lambda edit=edit: _shown(studio, edit))[0])
            domes.append(_timed(lambda: exact(session.scene, DOME, 1.0, 1.0))[0])
            eyes.append(_timed(lambda: exact(session.scene, EYE, 1.0, 1.0))[0])
        # The first of a kind fills caches.
        yield _figure(f"live, {name}: edit of {kind}", edits[1:], EDIT_MS)
        yield _figure(f"live, {name}: exact dome after {kind}", domes[1:], DOME_MS)
        yield _figure(f"live, {name}: exact eye after {kind}", eyes[1:], EYE_MS)


def _shown(studio: Studio, edit: dict[str, Any]) -> None:
    """An edit done, and the scene and pose that a page then draws."""
    studio.session.do(edit)
    packet = studio.scene_packet()
    pack(packet.kind, packet.facts, packet.arrays)
    pose_packet(studio.session.scene.at(seconds=1.0), 1, 1)


def _packed(page: int | None, message: Any, slot: str = "") -> None:
    if isinstance(message, Packet):
        pack(message.kind, message.facts, message.arrays)


class Spent(NamedTuple):
    """Milliseconds of the wall's clock, and of one core."""

    wall: float
    worked: float


def _figure(what: str, runs: list[Spent], bar: float | None) -> Figure:
    worked = median([spent.worked for spent in runs])
    wall = tuple(spent.wall for spent in runs)
    return Figure(what, wall, "ms", bar, note=f"{worked:.1f} ms of one core")


def _timed(work: Callable[[], Any]) -> tuple[Spent, Any]:
    start, begun = time.perf_counter(), time.process_time()
    found = work()
    wall, worked = time.perf_counter() - start, time.process_time() - begun
    return Spent(1e3 * wall, 1e3 * worked), found
