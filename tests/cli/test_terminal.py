"""What only a terminal shows: tables that fit, and bars with the time left."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest

from glint.cli.printing import rounded
from glint.cli.progress import in_clock
from tests.cli.command import DEMO, environment

pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

SLOW = """
import time
from glint.cli.progress import working
with working("filming") as tell:
    for step in range(15):
        time.sleep(0.1)
        tell(step + 1, 60)
"""

QUICK = """
from glint.cli.progress import working
with working("filming") as tell:
    tell(1, 1)
"""

COMPILING = """
import numba, time
from glint.cli.progress import working
with working("filming") as tell:
    numba.njit(lambda x: x + 1)(1)
"""


def on_a_terminal(*arguments, columns=80):
    """All that a program shows on a terminal of so many columns."""
    ours, its = pty.openpty()
    termios.tcsetwinsize(its, (50, columns))
    child = subprocess.Popen(
        [sys.executable, *map(str, arguments)],
        env={**environment(), "TERM": "xterm", "COLUMNS": str(columns)},
        stdin=its,
        stdout=its,
        stderr=its,
    )
    os.close(its)
    shown = b""
    try:
        while part := os.read(ours, 65536):
            shown += part
    except OSError:  # the other end is closed
        pass
    finally:
        os.close(ours)
        child.wait(timeout=60)
    return shown.decode()


def plain(shown):
    """Text without colours."""
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", shown)


@pytest.mark.parametrize("columns", [80, 95, 120])
def test_a_table_fits_the_terminal(columns):
    lines = plain(on_a_terminal("-m", "glint", "shapes", columns=columns)).splitlines()
    assert max(map(len, lines)) <= columns
    cube = next(line.split() for line in lines if line.startswith("cube "))
    assert cube == ["cube", "0", "6", "0.0554", "3/4/2"]
    # Nothing is cut off at the edge: words that stand one under the other are still all there.
    words = " ".join(lines).split()
    assert (words.count("touch"), words.count("tips"), words.count("joints")) == (6, 6, 6)


def test_figures_are_never_cut_short():
    """Too narrow for its figures, a table has lines that the terminal wraps."""
    shown = plain(on_a_terminal("-m", "glint", "check", DEMO, columns=20))
    assert "\u2026" not in shown
    assert "0.101" in shown and "20000" in shown


def test_slow_work_has_a_bar_with_the_time_left():
    shown = plain(on_a_terminal("-c", SLOW))
    assert "filming" in shown
    assert re.search(r"\d+ %, \d+ s left", shown)


def test_quick_work_has_none():
    assert "filming" not in on_a_terminal("-c", QUICK)


def test_compiling_is_said_at_once():
    assert "getting ready, first run only" in plain(on_a_terminal("-c", COMPILING))


def test_nothing_is_shown_where_nobody_looks():
    done = subprocess.run(
        [sys.executable, "-c", SLOW], env=environment(), capture_output=True, check=True
    )
    assert (done.stdout, done.stderr) == (b"", b"")


@pytest.mark.parametrize(
    "value, shown",
    [(0.0, "0"), (1234567.0, "1230000"), (0.012345, "0.0123"), (3.6e-7, "<0.0001"), (-2.0, "-2")],
)
def test_figures_have_three_digits_and_no_exponent(value, shown):
    assert rounded(value) == shown


@pytest.mark.parametrize("seconds, shown", [(7.6, "8 s"), (125, "2:05 min"), (3725, "1:02:05 h")])
def test_time_as_on_a_clock(seconds, shown):
    assert in_clock(seconds) == shown


def test_every_table_fits_80_columns(tmp_path):
    """The names of a first scene are long, and its spots come by several mirrors."""
    scene = tmp_path / "evening.toml"
    on_a_terminal("-m", "glint", "new", scene, "--yes")
    for words in (
        ("check", scene),
        ("spots", scene),
        ("stock", "--triangles", 300, "--squares", 60),
        ("check", DEMO.with_name("windfall.toml")),
    ):
        lines = plain(on_a_terminal("-m", "glint", *words)).replace("\r", "\n").splitlines()
        # What is to be pasted into a scene stays on one line.
        lines = [line for line in lines if "shape = " not in line]
        assert len(lines) > 10 and max(map(len, lines)) <= 80, words


def test_columns_that_may_be_spared_go_one_by_one_and_then_headings_break():
    code = """
from glint.cli.printing import Column, print_table
columns = [Column("a", "apples left"), Column("b", "pears", spare=True), Column("c", "plums"),
           Column("d", "quinces", spare=True)]
print_table(columns, [(1, 2, 3, 4)])
"""
    for columns, shown in (
        (40, ["apples left", "pears", "plums", "quinces"]),
        (30, ["apples left", "pears", "plums"]),
        (20, ["apples left", "plums"]),
        (14, ["apples", "plums"]),
    ):
        text = plain(on_a_terminal("-c", code, columns=columns))
        words = ("apples left", "apples", "pears", "plums", "quinces")
        found = [word for word in words if word in text]
        assert [word for word in found if word != "apples" or "apples left" not in found] == shown
