"""Standard streams that are closed, or that take nothing: no traceback, and the right status."""

from __future__ import annotations

import shlex
import subprocess
import sys

import pytest

from tests.cli.command import DEMO, environment

PRINTERS = {
    "help": ("--help",),
    "version": ("--version",),
    "help of one": ("check", "--help"),
    "shapes": ("shapes",),
    "check": ("check", DEMO),
    "check --json": ("check", DEMO, "--json"),
    "export": ("export", DEMO, "-o", "out.glb", "--force"),
    "still": ("still", DEMO, "--size", "64", "-o", "out.png", "--force"),
    "stock": ("stock", "--triangles", "20"),
}
WRONG = ("check", "missing.toml")
CLOSED = "glint: standard output: closed\n"


def run(words, closed, cwd):
    """Status, standard output and standard error of `glint WORDS CLOSED`, in a shell."""
    line = shlex.join([sys.executable, "-m", "glint", *map(str, words)])
    done = subprocess.run(
        f"exec {line} {closed}",
        shell=True,
        cwd=cwd,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=120,
    )
    return done.returncode, done.stdout, done.stderr


@pytest.mark.parametrize("command", PRINTERS)
def test_what_cannot_be_printed_is_told(command, tmp_path):
    assert run(PRINTERS[command], ">&-", tmp_path) == (1, "", CLOSED)


def test_a_picture_holds_nothing_that_was_to_be_printed(tmp_path):
    words = PRINTERS["still"]
    assert run(words, "", tmp_path)[0] == 0
    whole = (tmp_path / "out.png").read_bytes()
    for closed in (">&-", "<&- >&- 2>&-"):
        assert run(words, closed, tmp_path)[0] == 1
        assert (tmp_path / "out.png").read_bytes() == whole


@pytest.mark.parametrize("closed", ["2>&-", "<&-", "2>/dev/full"])
def test_a_stream_that_is_not_needed_may_be_closed(closed, tmp_path):
    usual = run(PRINTERS["check"], "", tmp_path)
    assert usual[0] == 0 and usual[1]
    assert run(PRINTERS["check"], closed, tmp_path) == usual


@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", "<&- >&- 2>&-", "2>/dev/full"])
def test_bad_input_has_its_status_whoever_reads_about_it(closed, tmp_path):
    status, out, err = run(WRONG, closed, tmp_path)
    assert (status, out) == (2, "")
    assert bool(err) == ("2>" not in closed)
    assert len(err.splitlines()) == int("2>" not in closed)


def test_all_closed_at_once(tmp_path):
    assert run(PRINTERS["check"], "<&- >&- 2>&-", tmp_path) == (1, "", "")
