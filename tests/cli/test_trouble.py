"""Whatever goes wrong: an exit status, one clear line, no part of a file, and nothing left over."""

from __future__ import annotations

import resource
import signal
import subprocess
import sys
import tempfile

import pytest

from glint.render.loop import loop
from glint.scene.build import load
from tests.cli.command import DEMO, environment, filming, glint, names, told

WRITERS = {
    "still": ("still", DEMO, "--size", 512, "-o", "out.png"),
    "data": ("still", DEMO, "--size", 64, "-o", "out.png", "--data", "out.npz"),
    "loop": ("loop", DEMO, "--size", 96, "--fps", 2, "-o", "out.gif"),
    "export": ("export", DEMO, "-o", "out.glb"),
}


def no_large_files():
    """The system's limit on the size of files stands in for a full disk."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))


@pytest.mark.parametrize("command", WRITERS)
@pytest.mark.parametrize("older", [False, True])
def test_a_full_disk(command, older, tmp_path):
    before = []
    if older:
        for name in ("out.png", "out.npz", "out.gif", "out.glb"):
            (tmp_path / name).write_text("older")
            before.append(name)
    force = ["--force"] if older else []
    words = (*WRITERS[command], *force)
    line = told(*words, cwd=tmp_path, status=1, preexec_fn=no_large_files)
    assert line.endswith(" cannot be written: file too large")
    assert names(tmp_path) == sorted(before)
    assert all((tmp_path / name).read_text() == "older" for name in before)


@pytest.mark.parametrize("command", WRITERS)
def test_a_folder_that_cannot_be_written(command, tmp_path):
    """A file in the place of the folder: that stops root as well."""
    (tmp_path / "file").write_text("mine")
    arguments = [f"file/{a}" if str(a).startswith("out.") else a for a in WRITERS[command]]
    line = told(*arguments, cwd=tmp_path)
    assert "there is no folder file" in line
    assert names(tmp_path) == ["file"]


@pytest.mark.skipif(sys.platform != "linux", reason="/proc takes no new files, of root neither")
def test_a_folder_that_takes_no_files(tmp_path):
    line = told("export", DEMO, "-o", "/proc/quince.glb", cwd=tmp_path, status=1)
    assert line.startswith("glint: /proc/quince.glb cannot be written: ")


@pytest.mark.parametrize("command", WRITERS)
def test_an_existing_file_is_kept_and_nothing_is_worked_out_first(command, tmp_path):
    """The scene is missing, which nobody notices: it is not even read."""
    words = ["none.toml" if word == DEMO else word for word in WRITERS[command]]
    last = words[-1]
    (tmp_path / last).write_text("mine")
    line = told(*words, cwd=tmp_path)
    assert line == f"glint: {last} exists; --force replaces it"
    assert names(tmp_path) == [last]
    assert (tmp_path / last).read_text() == "mine"


def test_force_replaces_a_file(tmp_path):
    (tmp_path / "out.glb").write_text("older")
    assert glint(*WRITERS["export"], "--force", cwd=tmp_path).returncode == 0
    assert (tmp_path / "out.glb").read_bytes()[:4] == b"glTF"
    assert names(tmp_path) == ["out.glb"]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("older", [False, True])
def test_a_loop_that_is_stopped_half_way(number, older, tmp_path):
    if older:
        (tmp_path / "out.png").write_text("older")
    with filming(tmp_path) as child:
        child.send_signal(number)
        out, err = child.communicate(timeout=20)
    assert (child.returncode, out, err) == (1, "", "glint: stopped\n")
    assert names(tmp_path) == [*(["out.png"] if older else []), "quince.toml"]
    if older:
        assert (tmp_path / "out.png").read_text() == "older"


@pytest.mark.skipif(sys.platform != "linux", reason="wants /dev/full")
@pytest.mark.parametrize("command", [("shapes",), ("check", DEMO, "--json")])
def test_a_table_that_cannot_be_written(command, tmp_path):
    with open("/dev/full", "w") as full:  # noqa: PTH123
        done = subprocess.run(
            [sys.executable, "-m", "glint", *map(str, command)],
            cwd=tmp_path,
            env=environment(),
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=120,
        )
    assert done.returncode == 1
    assert done.stderr == "glint: standard output: no space left on device\n"


def test_a_reader_that_goes_away_is_no_trouble(tmp_path):
    done = subprocess.run(
        f"{sys.executable} -m glint shapes | head -1",
        shell=True,
        cwd=tmp_path,
        env=environment(),
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.stdout.startswith("name\ttriangles")
    assert done.stderr == ""


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["stil", DEMO], 'did you mean "still"?'),
        (["still", DEMO, "--view", "dom"], "'dom' is not one of"),
        (["still", DEMO, "--siz", "64"], "Did you mean '--size'?"),
        (["still", DEMO, "--size", "10x10"], "allowed: 64 to 4096 pixels a side"),
        (["still", DEMO, "--size", "big"], '"big" is no size; allowed: WxH, such as 1920x1080'),
        (["still", DEMO, "-o", "a.jpg"], 'found ending ".jpg"; allowed: ".png"'),
        (["still", DEMO, "-o", "no/such/a.png"], "there is no folder no/such"),
        (["still", DEMO, "--data", "a.csv"], 'found ending ".csv"; allowed: ".npz"'),
        (["still", DEMO, "--turn", "--at", "5"], "--turn takes in every angle"),
        (["export", DEMO, "-o", "a.gltf"], 'did you mean ".glb"?'),
        (["export", DEMO], "Missing option '-o' / '--output'"),
        (["shapes", "--panel", "0"], "0.0 is not in the range"),
        (["shapes", "--panel", "20"], "--panel: found 20; allowed: at least the tile's edge, 25"),
        (["shapes", "--tile", "40"], "--tile: found 40; allowed: at most the panel's edge, 32"),
        (["shapes", "-o", "a.png"], 'found ending ".png"; allowed: ".html"'),
        (["check", "missing.toml"], "missing.toml"),
        (["check", __file__], "test_trouble.py: line"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_two(arguments, message, tmp_path):
    line = told(*arguments, cwd=tmp_path)
    assert message in line
    assert names(tmp_path) == []


LONG = "q" * 300


@pytest.mark.parametrize(
    "words",
    [
        ("still", DEMO, "-o", f"{LONG}.png"),
        ("still", DEMO, "--data", f"{LONG}.npz"),
        ("loop", DEMO, "-o", f"{LONG}.gif"),
        ("loop", DEMO, "--poster", f"{LONG}.png"),
        ("compare", DEMO, "-o", f"{LONG}.csv"),
        ("place", DEMO, "-o", f"{LONG}.toml"),
        ("export", DEMO, "-o", f"{LONG}.glb"),
        ("export", DEMO, "-o", f"{LONG}/out.glb"),
        ("build", DEMO, "-o", LONG),
    ],
)
def test_a_name_that_is_too_long_is_bad_input(words, tmp_path):
    assert told(*words, cwd=tmp_path).endswith("a name that is too long; give a shorter one")
    assert names(tmp_path) == []


def test_a_loop_within_so_many_megabytes_needs_no_folder_but_its_own(tmp_path, monkeypatch):
    """Its trials take of the room that it will take, and none in a folder that may be full."""
    words = ("loop", DEMO, "--size", "96", "--fps", "2", "--max-mb", "0.02", "-o", "out.gif")
    line = told(*words, cwd=tmp_path, status=1, preexec_fn=no_large_files)
    assert line == "glint: out.gif cannot be written: file too large"
    assert names(tmp_path) == []
    monkeypatch.setattr(tempfile, "mkdtemp", None)
    loop(load(DEMO), tmp_path / "out.gif", size=96, fps=2, max_mb=0.02)
    assert names(tmp_path) == ["out.gif"]


DEAF = """
import signal, sys, time
from glint.cli import entry, stopping
from glint.files.atomic import whole_file

def invoke(context):
    with whole_file("out.png"):
        print("deaf", flush=True)
        while True:
            try:
                time.sleep(600)
            except KeyboardInterrupt:
                pass  # as a compiler may, that holds up its thread

entry.glint.invoke = invoke
sys.argv = ["glint", "shapes"]
entry.program()
"""


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_what_does_not_hear_of_a_request_to_end_is_ended(number, tmp_path):
    words = [sys.executable, "-c", DEAF]
    with subprocess.Popen(
        words,
        cwd=tmp_path,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdout is not None and child.stdout.readline() == "deaf\n"
        child.send_signal(number)
        try:
            assert child.communicate(timeout=30) == ("", "glint: stopped\n")
        finally:
            child.kill()
    assert child.returncode == 1
    assert names(tmp_path) == []
