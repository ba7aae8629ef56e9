"""What a shell is told when somebody presses the tab key, and how logs are told of progress."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest

from glint.cli import progress
from glint.cli.progress import PROGRESS_ASKED, plain_line, working
from tests.cli.command import environment, printed


def completed(folder, *words):
    """What bash would offer for the last of the words of a line."""
    asked = {"COMP_WORDS": " ".join(words), "COMP_CWORD": str(len(words) - 1)}
    done = subprocess.run(
        [sys.executable, "-m", "glint"],
        cwd=folder,
        env={**environment(), **asked, "_GLINT_COMPLETE": "bash_complete"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stderr == ""
    return [line.partition(",")[2] for line in done.stdout.splitlines() if line]


def test_commands_options_and_scene_files_are_completed(tmp_path):
    for name in ("pear.toml", "peach.toml", "pear.png", "orchard/quince.toml", ".hidden.toml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    assert completed(tmp_path, "glint", "st") == ["still", "stock"]
    assert "--view" in completed(tmp_path, "glint", "still", "--v")
    assert completed(tmp_path, "glint", "still", "pe") == ["peach.toml", "pear.toml"]
    assert completed(tmp_path, "glint", "compare", "pear.toml", "o") == ["orchard/quince.toml"]
    assert "eye" in completed(tmp_path, "glint", "still", "pear.toml", "--view", "e")
    assert completed(tmp_path, "glint", "check", "nowhere/") == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_asks_for_completions(tmp_path, shell):
    script = printed("completion", shell, cwd=tmp_path)
    assert f"_GLINT_COMPLETE={shell}_complete" in script


def test_a_plain_line_says_how_far_the_work_is():
    assert plain_line("filming", 0, 0, 75.0) == "filming: 1:15 min"
    assert plain_line("filming", 75, 300, 30.0) == "filming: 75 of 300, 25 %, 1:30 min left"
    assert plain_line("filming", 300, 300, 30.0) == "filming: 300 of 300, 100 %"


@pytest.mark.parametrize("asked", [True, False])
def test_lines_come_while_the_work_goes_on(monkeypatch, capsys, asked):
    said = []
    monkeypatch.setattr(progress, "INTERVAL", 0.001)
    monkeypatch.setattr(progress, "_print", said.append)
    with click.Context(click.Command("film")) as context:
        context.meta[PROGRESS_ASKED] = asked
        with working("filming") as tell:
            tell(3, 4)
            while asked and not any("3 of 4" in line for line in said):
                pass
    assert (said[:1], said[-1:]) == ((["filming"], ["filming: done in 0 s"]) if asked else ([], []))
    assert capsys.readouterr().err == ""
