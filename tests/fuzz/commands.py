"""Commands over made-up scenes, in this process, and how each may end.

What a command says is plain lines, its figures are numbers, its files are whole, and nothing is
left behind. Pictures, loops, averages and searches are as small as they can be.
"""

from __future__ import annotations

import io
import json
import math
import os
import sys
import tempfile
from contextlib import ExitStack, redirect_stderr, redirect_stdout
from pathlib import Path
from random import Random
from typing import Any
from unittest import mock

from glint.cli.entry import main
from tests.fuzz import wishes
from tests.fuzz.toml import Tables

SHARES = {"check": 5, "spots": 5, "still": 12, "loop": 8, "measure": 6, "compare": 2, "place": 2,
          "export": 4, "build": 10}  # fmt: skip

SMALLER = {
    "glint.analysis.measure.FEWEST": 3,
    "glint.analysis.measure.MOST": 6,
    "glint.analysis.energy.FEWEST": 2,
    "glint.analysis.energy.MOST": 3,
    "glint.analysis.energy.TEXELS": 64,
    "glint.analysis.energy.STRING_TEXELS": 64,
    "glint.analysis.string_light.FEWEST": 2,
    "glint.analysis.string_light.MOST": 2,
    "glint.analysis.string_light.TEXELS": 64,
    "glint.analysis.measures.POINTS": 1000,
    "glint.search.fast_measures.POSES": 3,
    "glint.search.optimize.ACROSS": 2,
    "glint.search.optimize.FINE": 3,
    "glint.report.candidate.EXPOSED": 64,
    "glint.report.portrait.TEXELS": 96,
    "glint.lighting.long_exposure.MOST_INSTANTS": 64,
    "glint.lighting.long_exposure.SHADOWS": 8,
    "glint.lighting.long_exposure.STRING_TURNS": 32,
    "glint.lighting.long_exposure.STRING_INSTANTS": 8,
    "glint.render.frames.MOST_INSTANTS": 4,
    "glint.render.eye.frames.TEXELS": (96, 96),
    "glint.render.eye.frames.JUDGED": 2,
    "glint.kernels.cavity.aperture_glow.RAYS": 20_000,
    "glint.kernels.cavity.aperture_glow.LEAST_RAYS": 16,
}
"""What a case may not take the time for: poses, instants, maps, placings and rays."""


def command_of(r: Random) -> str:
    """A command's name."""
    return r.choices(list(SHARES), list(SHARES.values()))[0]


def suited(r: Random, command: str, tables: Tables) -> Tables:
    """The scene with what a command wants of it: candidates to compare, numbers to choose."""
    if command == "compare" and r.random() < 0.7:
        tables["candidate"] = wishes.candidates(r)
    if command == "place":
        if r.random() < 0.8:  # the glow of a string takes a second, with each placing anew
            tables.pop("string", None)
        tables["free"] = wishes.free(r, tables)
        tables["goal"] = wishes.goal(r)
    if command in ("compare", "measure", "place") and r.random() < 0.9:
        tables.setdefault("lamp", [{}])
    return tables


def arguments(r: Random, command: str, scene: str) -> tuple[list[str], list[str]]:
    """What follows the command's name, and the files that it would write."""
    view = ["--view", r.choice(["dome", "floor", "eye"])]
    plain = r.choice([[], ["--json"]])
    match command:
        case "check" | "spots" | "measure":
            return [scene, *plain], []
        case "still":
            more = r.choice([[], ["--at", "33"], ["--seconds", "1.7"]])
            if view[1] != "eye" and r.random() < 0.2:
                more = ["--turn"]
            data = ["--data", "o.npz"] if r.random() < 0.3 else []
            said = [scene, *view, "--size", r.choice(["64", "96x64"]), *more, *data, "-o", "o.png"]
            return said, ["o.png", *data[1:]]
        case "loop":
            out = "o" + r.choice([".gif", ".webp", ".mp4", ".png"])
            few = ["--size", "64", "--fps", "2", "--longest", r.choice(["2", "4"])]
            most = ["--max-mb", r.choice(["0.01", "0.5"])] if r.random() < 0.2 else []
            poster = ["--poster", "p.png"] if r.random() < 0.2 else []
            return [scene, *view, *few, *most, *poster, "-o", out], [out, *poster[1:]]
        case "compare":
            out = "o" + r.choice([".csv", ".json", ".html", ".png"])
            return [scene, *plain, "--workers", "1", "-o", out], [out]
        case "place":
            said = [scene, *plain, "--workers", "1", "--tries", "20", "-o", "o.toml"]
            return said, ["o.toml", "o.png"]
        case "export":
            out = "o" + r.choice([".glb", ".stl", ".obj", ".ply"])
            return [scene, "-o", out], [out]
        case _:
            paper = ["--paper", r.choice(["A4", "letter"])]
            return [scene, *plain, *paper, "-o", "o"], ["o/sheet.html", "o/sheet.json"]


def command_holds(r: Random, command: str, path: Path) -> str:
    """Run a command on a scene file in its folder; returns what became of it in a word."""
    words, files = arguments(r, command, path.name)
    before = _names(path.parent)
    status, out, err = _run(command, words, path.parent)
    assert status in (0, 1, 2), (status, err)
    for line in (*(() if "--json" in words else out.split("\n")), *err.split("\n")):
        assert line.replace("\t", "").isprintable(), line
    if status:
        lines = err.splitlines()
        assert lines and all(line.startswith("glint: ") for line in lines), err
        assert _names(path.parent) == before, _names(path.parent)
        return "refused" if status == 2 else "not done"
    for name in files:
        assert (path.parent / name).stat().st_size > 0, name
    assert not [name for name in _names(path.parent) if name.startswith(".glint")]
    if "--json" in words:
        _finite(json.loads(out))
    if "o.toml" in files:
        status, _, err = _run("check", ["o.toml"], path.parent)
        assert status == 0, err
    return "done"


def _names(folder: Path) -> set[str]:
    return {one.name for one in folder.iterdir()}


DEMOS = Path(__file__).parents[2] / "scenes"


def warm_up() -> None:
    """Have all kernels compiled, so that no case's time is spent on it."""
    with tempfile.TemporaryDirectory(prefix="glint-fuzz-") as name:
        folder = Path(name)
        for demo in ("windfall", "hall"):
            scene = str(DEMOS / f"{demo}.toml")
            few = ["--view", "eye", "--size", "64", "--fps", "1", "--longest", "2"]
            _run("loop", [scene, *few, "-o", f"{demo}.gif"], folder)
            _run("spots", [scene, "--at", "1"], folder)
            _run("still", [scene, "--size", "64", "--turn", "-o", f"{demo}.png"], folder)


def _run(command: str, words: list[str], folder: Path) -> tuple[int, str, str]:
    """Exit status, output and errors of a command; an internal error is raised as it is."""
    out, err, here = io.StringIO(), io.StringIO(), Path.cwd()
    argv, environment = ["glint", command, *words], {"GLINT_TRACEBACK": "1"}
    os.chdir(folder)
    try:
        with (
            redirect_stdout(out),
            redirect_stderr(err),
            mock.patch.object(sys, "argv", argv),
            mock.patch.dict(os.environ, environment),
            _small(),
        ):
            main()
    except SystemExit as leaving:
        return int(leaving.code or 0), out.getvalue(), err.getvalue()
    finally:
        os.chdir(here)
    return 0, out.getvalue(), err.getvalue()


def _small() -> ExitStack:
    stack = ExitStack()
    for name, value in SMALLER.items():
        stack.enter_context(mock.patch(name, value))
    return stack


def _finite(found: Any) -> None:
    """No infinite number anywhere in what JSON says; NaN is `null` there."""
    if isinstance(found, dict | list):
        for one in found.values() if isinstance(found, dict) else found:
            _finite(one)
    elif isinstance(found, float):
        assert math.isfinite(found), found
