"""measure, compare and place at the command line."""

from __future__ import annotations

import csv
import json

import pytest

from tests.cli.command import glint, names, printed, told

SCENE = """\
title = "Quince Night: a test"
[room]
radius_m = 3.0
[[ball]]
name = "guest"
shape = { base = "octahedron" }
hang = { height_m = 1.6 }
motion = { rpm = 0.0 }
[[lamp]]
name = "torch"
at_m = [2.0, 0.0, 1.0]
aim = [0.0, 0.6, 1.6]
[[free]]
lamp = "torch"
key = "aim_y_m"
least = -0.6
most = 0.6
"""
LOW = """
[[free]]
ball = "guest"
key = "height_m"
least = 1.0
most = 1.7
"""
CANDIDATES = """
[[candidate]]
name = "six"
shape = { base = "cube" }
[[candidate]]
name = "four"
shape = { base = "tetrahedron" }
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "a.toml").write_text(SCENE)
    (tmp_path / "low.toml").write_text(SCENE + LOW)
    (tmp_path / "b.toml").write_text(SCENE.replace("0.6, 1.6", "0.0, 1.6") + CANDIDATES)
    return tmp_path


def test_measure_prints_every_figure(folder):
    found = json.loads(printed("measure", "b.toml", "--json", cwd=folder))
    assert found["tiles"] == 8
    assert found["figures"]["spots"]["mean"] > 0.0
    assert found["turn"]["stable"] is True


def test_names_that_no_terminal_shows_are_spelled_out(folder):
    text = SCENE.replace('"guest"', '"gu\u2060est"').replace("rpm = 0.0", "swing_deg = 2.0")
    text += CANDIDATES.replace('"six"', '"s\u2060ix"')
    (folder / "c.toml").write_text(text, encoding="utf-8")
    for words in (("check", "c.toml"), ("compare", "c.toml", "--workers", 1)):
        done = glint(*words, cwd=folder)
        assert done.returncode == 0 and "\\u2060" in done.stdout + done.stderr
        assert "\u2060" not in done.stdout + done.stderr


def test_compare_writes_what_is_asked_for(folder):
    done = glint(
        *("compare", "b.toml", "-o", "r.html", "-o", "r.csv", "-o", "r.png", "--workers", 1),
        cwd=folder,
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[0].startswith("number\tcandidate\ttiles\tspots")
    assert [line.split("\t")[1] for line in lines[1:]] == ["six", "four"]
    assert "wrote r.html" in done.stderr
    assert (folder / "r.html").read_text().startswith("<!doctype html>")
    assert len((folder / "r.csv").read_text().splitlines()) == 3
    assert (folder / "r.png").read_bytes()[:4] == b"\x89PNG"


def test_place_writes_a_scene_that_can_be_read_and_a_picture(folder):
    done = glint("place", "a.toml", "-o", "n.toml", "--tries", 20, "--workers", 1, cwd=folder)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[1].startswith("torch aim_y_m\t0.6\t")
    assert "of 20 placings looked at" in done.stderr
    assert (folder / "n.png").read_bytes()[:4] == b"\x89PNG"
    printed("check", "n.toml", cwd=folder)
    assert "n.toml exists" in told("place", "a.toml", "-o", "n.toml", cwd=folder)


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["measure", "none.toml"], "none.toml"),
        (["compare", "b.toml", "--triangles", "5"], "go with --catalogue"),
        (["compare", "b.toml", "--catalogue"], "--triangles N, --squares N"),
        (["compare", "b.toml", "--catalogue", "--squares", "0"], "no shape of the catalogue"),
        (["measure", "b.toml", "--csv", "m.txt"], '".csv"'),
        (["spots", "b.toml", "--at", "3", "--seconds", "1"], "leave --at off"),
        (["export", "b.toml", "--at", "3", "--seconds", "1", "-o", "b.glb"], "leave --at off"),
        (["compare", "b.toml", "-o", "r.txt"], '".html"'),
        (["place", "b.toml", "-o", "n.txt"], '".toml"'),
        (["place", "low.toml", "-o", "n.toml"], "clearance_m = 2"),
    ],
)
def test_bad_input_is_one_clear_line(arguments, message, folder):
    assert message in told(*arguments, cwd=folder)
    assert names(folder) == ["a.toml", "b.toml", "low.toml"]


@pytest.mark.parametrize(
    "words",
    [("compare", "c.toml"), ("compare", "a.toml", "c.toml"), ("place", "c.toml", "-o", "n.toml")],
)
def test_a_scene_that_cannot_be_built_is_told_as_check_tells_it(words, folder):
    (folder / "c.toml").write_text(SCENE.replace("height_m = 1.6", "height_m = 2.999"))
    assert told(*words, cwd=folder) == told("check", "c.toml", cwd=folder)


def test_candidates_none_of_which_can_be_built_are_bad_input(folder):
    impossible = SCENE.replace("height_m = 1.6", "height_m = 2.999")
    (folder / "c.toml").write_text(impossible + CANDIDATES)
    done = glint("compare", "c.toml", "-o", "r.csv", "--workers", 1, cwd=folder)
    assert (done.returncode, done.stdout) == (2, "")
    starts = [line.split(" c.toml")[0] for line in done.stderr.splitlines()]
    assert starts == ["glint: left out: six:", "glint: left out: four:"]
    assert "r.csv" not in names(folder)


def test_measures_and_spots_are_written_as_csv_with_units(folder):
    done = glint("measure", "b.toml", "--csv", "m.csv", cwd=folder)
    assert done.returncode == 0 and "wrote m.csv" in done.stderr
    rows = list(csv.DictReader((folder / "m.csv").open(encoding="utf-8", newline="")))
    found = json.loads(printed("measure", "b.toml", "--json", cwd=folder))["figures"]
    assert [row["key"] for row in rows] == list(found)
    by_key = {row["key"]: row for row in rows}
    assert float(by_key["spots"]["mean"]) == found["spots"]["mean"]
    assert (by_key["gap_deg"]["unit"], by_key["cover_share"]["unit"]) == ("\u00b0", "%")
    assert "wrote s.csv" in glint("spots", "b.toml", "--csv", "s.csv", cwd=folder).stderr
    spots = list(csv.DictReader((folder / "s.csv").open(encoding="utf-8", newline="")))
    told_of = json.loads(printed("spots", "b.toml", "--json", cwd=folder))["spots"]
    assert [float(row["peak_lux"]) for row in spots] == [row["peak_lux"] for row in told_of]
    assert {"x_m", "area_m2", "lumens"} <= set(spots[0])
    assert "m.csv exists" in told("measure", "b.toml", "--csv", "m.csv", cwd=folder)


def test_seconds_are_a_moment_of_the_motion(folder):
    turning = SCENE.replace("rpm = 0.0", "rpm = 2.0").replace("0.6, 1.6", "0.0, 1.6")
    (folder / "t.toml").write_text(turning)
    # At 2 turns a minute, 12 degrees a second.
    by_seconds = printed("spots", "t.toml", "--seconds", "2", cwd=folder)
    assert by_seconds == printed("spots", "t.toml", "--at", "24", cwd=folder)
    assert by_seconds != printed("spots", "t.toml", cwd=folder)
    for name, words in (("s.stl", ("--seconds", "2")), ("d.stl", ("--at", "24"))):
        printed("export", "t.toml", *words, "-o", name, cwd=folder)
    assert (folder / "s.stl").read_bytes() == (folder / "d.stl").read_bytes()


def test_candidates_of_equal_title_are_told_apart_by_their_files(folder):
    (folder / "c.toml").write_text(SCENE.replace("octahedron", "cube"))
    done = glint("compare", "a.toml", "c.toml", "--workers", 1, cwd=folder)
    lines = done.stdout.splitlines()
    names_of = [line.split("\t")[1] for line in lines[1:]]
    assert names_of == ["Quince Night: a test (a.toml)", "Quince Night: a test (c.toml)"]
