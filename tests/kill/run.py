"""One program, ended at one moment, and what must then be so."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from glint.files.temporary import hidden_file
from tests.cli.command import MADE, environment

FREE = """
[goal]
spots = 1.0
[[lamp]]
name = "torch"
at_m = [1.2, 0.0, 1.0]
aim = [0.0, 0.2, 1.2]
[[free]]
lamp = "torch"
key = "aim_y_m"
least = -0.6
most = 0.6
[[candidate]]
name = "six"
shape = { base = "cube" }
[[candidate]]
name = "four"
shape = { base = "tetrahedron" }
"""

SCENE = "quince.toml"
OLDER = "older"
SMALL = ("--size", "128", "--fps", "12", "--force")

COMMANDS: dict[str, tuple[str, ...]] = {
    "still": ("still", SCENE, "--size", "300", "-o", "out.png", "--data", "out.npz", "--force"),
    "still eye": ("still", SCENE, "--view", "eye", "--size", "200", "-o", "out.png", "--force"),
    **{
        f"loop {ending}": ("loop", SCENE, *SMALL, "-o", f"out.{ending}", "--poster", "page.png")
        for ending in ("mp4", "gif", "webp", "png")
    },
    "loop within": ("loop", SCENE, *SMALL, "-o", "out.mp4", "--max-mb", "0.03"),
    "compare": (
        *("compare", SCENE, "-o", "out.html", "-o", "out.png", "-o", "out.csv", "--force"),
        *("--workers", "2"),
    ),
    "place": (*("place", SCENE, "-o", "out.toml", "--tries", "40", "--force", "--workers", "2"),),
    "build": ("build", SCENE, "-o", "sheet", "--force"),
    "export": ("export", SCENE, "-o", "out.glb", "--force"),
}
"""Every command that writes."""

PATIENCE = 2.0
"""Seconds within which everything of a program must be over, with some for a busy machine."""

BUSY = 3.0


@dataclass
class Case:
    """A command, what it writes where nobody stops it, and how long that takes."""

    name: str
    words: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)
    seconds: float = 0.0


@dataclass
class Ended:
    """status: exit status; said: on standard error; seconds: from the signal to the end of the
    last process that holds its standard output or error, of any of its workers too; number: the
    signal it got in time, if any"""

    status: int
    said: str
    seconds: float
    number: int | None


def prepare(place: Path) -> None:
    """A folder with a scene and older outputs."""
    place.mkdir()
    (place / SCENE).write_text(MADE + FREE)
    for name in ("out.png", "out.mp4", "out.toml", "out.html"):
        (place / name).write_text(OLDER)


def contents(place: Path) -> dict[str, bytes]:
    """Every file below a folder, by name."""
    found = (path for path in place.rglob("*") if path.is_file())
    return {str(path.relative_to(place)): path.read_bytes() for path in found}


def whole(name: str, place: Path) -> Case:
    """A command run to its end, twice, for the first time may compile."""
    words = COMMANDS[name]
    run(words, place, None, 0.0)
    begin = time.monotonic()
    ended = run(words, place, None, 0.0)
    assert ended.status == 0, ended
    return Case(name, words, contents(place), time.monotonic() - begin)


def run(
    words: Sequence[str],
    place: Path,
    number: signal.Signals | None,
    moment: float,
    others: Sequence[subprocess.Popen[bytes]] = (),
) -> Ended:
    """Start a command and send it a signal after so many seconds; kill others then. Ctrl-C goes to
    all its processes, as a terminal has it, other signals to the first alone."""
    child = subprocess.Popen(
        [sys.executable, "-m", "glint", *words],
        cwd=place,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    try:
        time.sleep(moment)
        for other in others:
            other.kill()
        got = number if child.poll() is None else None
        begin = time.monotonic()
        if got == signal.SIGINT:
            os.killpg(child.pid, signal.SIGINT)
        elif got is not None:
            child.send_signal(got)
        said, _ = child.communicate(timeout=120 if number is None else 30)
        return Ended(child.returncode, said, time.monotonic() - begin, got)
    finally:
        child.kill()
        child.wait()


def check_end(case: Case, place: Path, ended: Ended, what: str) -> None:
    """Raise AssertionError where something is not as it should be."""
    found = contents(place)
    for name, data in found.items():
        if name.startswith(".glint-"):
            continue
        allowed = (OLDER.encode(), case.files[name])
        assert data in allowed, f"{what}: {name} is neither the older one nor whole"
    if ended.number is not None:
        assert ended.seconds < PATIENCE + BUSY, f"{what}: took {ended.seconds:.1f} s to end"
        # Until glint is asked, Python itself answers.
        assert "Traceback" not in ended.said or "glint/cli" not in ended.said, f"{what}: {ended}"
    if ended.number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        told = {0: None, 1: "glint: stopped"}
        # Python itself answers until glint begins, and after it has ended.
        assert ended.status in (*told, -ended.number), f"{what}: {ended}"
        if ended.status == 1:
            assert ended.said.splitlines()[-1] == told[1], f"{what}: {ended}"
        if ended.status != 0:
            left = [name for name in found if name.startswith(".glint-")]
            assert not left, f"{what}: left {left}"
    if ended.status == 0 and ended.number is None:
        assert found == case.files, f"{what}: not the same files"
    with hidden_file(place):
        pass
    left = [path.name for path in place.iterdir() if path.name.startswith(".glint-")]
    assert not left, f"{what}: not cleared: {left}"
