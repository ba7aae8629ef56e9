"""The commands for the bench: stock and build."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from glint.build.stock import candidates
from glint.cli.shapes import shapes
from tests.cli.command import DEMO, glint, names, printed, told


def test_stock_lists_shapes_and_sets(tmp_path):
    text = printed("stock", "--triangles", 24, "--squares", 6, cwd=tmp_path)
    header, *rows = text.split("\n\n")[0].split("\n")
    assert header.split("\t")[:3] == ["name", "triangles", "squares"]
    assert any(row.startswith("icosahedron\t20\t0\t1\t4\t6") for row in rows)
    assert "most tiles used: 30" in text


def test_stock_as_json_with_spares(tmp_path):
    done = glint(
        *("stock", "--triangles", 22, "--spare", 10, "--aim", "balls", "--least-tiles", 0),
        "--json",
        cwd=tmp_path,
    )
    found = json.loads(done.stdout)
    assert found["usable"] == {"triangles": 20, "squares": 0}
    assert found["sets"][0]["value"] == 5
    (chosen,) = found["sets"][0]["shapes"]
    assert (chosen["name"], chosen["count"]) == ("tetrahedron", 5)
    assert chosen["line"] == 'shape = { base = "tetrahedron" }'
    whole = found["sets"][0]
    for key in ("weight_kg", "gluing_h"):
        assert whole[key] == pytest.approx(5 * chosen[key])
    assert whole["diameter_m"] == chosen["diameter_m"]
    # Without the five: three tetrahedra and an octahedron, or three and a bipyramid of six.
    assert [chosen["value"] for chosen in found["sets"]] == [5, 4, 4]


def test_a_stock_that_makes_nothing_says_what_is_short(tmp_path):
    done = glint("stock", "--triangles", 19, cwd=tmp_path)
    assert done.returncode == 0
    assert "19 triangles make no shape of the catalogue of at least 20 tiles" in done.stdout
    assert "icosahedron: 1 triangle short" in done.stdout


def test_a_set_is_of_few_balls_of_many_tiles(tmp_path):
    words = ("--triangles", 640, "--squares", 90, "--alternatives", 0, "--json")
    chosen = json.loads(glint("stock", *words, cwd=tmp_path).stdout)["sets"][0]
    assert (chosen["tiles"], chosen["balls"] <= 6) == (730, True)
    large = ("--most-balls", 1, "--least-tiles", 200)
    found = json.loads(glint("stock", *words, *large, cwd=tmp_path).stdout)
    assert found["sets"][0]["balls"] == 1
    assert min(shape["triangles"] + shape["squares"] for shape in found["shapes"]) >= 200


def test_shapes_that_cannot_be_glued_are_left_out_unless_they_are_asked_for(tmp_path):
    words = ("stock", "--triangles", 24, "--tile", 30, "--thickness", 4, "--recess", 0)
    name = "cube, squares raised"
    found = json.loads(glint(*words, "--json", cwd=tmp_path).stdout)
    assert name not in [shape["name"] for shape in found["shapes"]]
    (crowded,) = [one for one in found["cannot_be_glued"] if one["name"] == name]
    assert crowded["collisions"] > 0
    assert crowded["edge_mm"] < 30 and crowded["thickness_mm"] < 4
    text = printed(*words, "--unfit", cwd=tmp_path)
    tables = text.split("\n\n")
    assert name not in tables[0] and name in tables[-1] and "neighbours collide" in tables[-1]


SCENE = """
[room]
radius_m = 4.0
[tile]
edge_mm = 60.0
panel_edge_mm = 70.0
[[ball]]
name = "one"
shape = "cube"
hang = { height_m = 2.0 }
[[ball]]
name = "other"
shape = "cube"
hang = { height_m = 2.85, at_m = [1.0, 0.5] }
[[lamp]]
at_m = [3.0, 0.0, 1.0]
aim = "one"
[workshop]
tile_s = 3600.0
joint_s = 0.0
hands = 2
"""


def test_a_scene_gives_its_room_light_tiles_and_workshop(tmp_path):
    (tmp_path / "a.toml").write_text(SCENE)
    words = ("--triangles", 20, "--squares", 6, "--least-tiles", 6, "--alternatives", 0)
    inside = json.loads(glint("stock", "a.toml", *words, "--json", cwd=tmp_path).stdout)
    assert inside["tile"]["panel_edge_mm"] == 70
    shapes = {shape["name"]: shape for shape in inside["shapes"]}
    cube, twenty = shapes["cube"], shapes["icosahedron"]
    assert (cube["gluing_h"], twenty["gluing_h"]) == (3.0, 10.0)
    # Twice the circumradius of the panels: sqrt(3) edges (Euclid XIII.15).
    assert cube["diameter_m"] == pytest.approx(0.07 * 3**0.5, rel=0.05)
    assert 0 < cube["spots"] < twenty["spots"]
    (tmp_path / "b.toml").write_text(SCENE.replace("1.0]", "1.0]\npeak_cd = 1.0"))
    dim = json.loads(glint("stock", "b.toml", *words, "--json", cwd=tmp_path).stdout)
    assert {shape["spots"] for shape in dim["shapes"]} == {0}


def test_what_is_too_large_for_a_scene_is_in_no_set(tmp_path):
    (tmp_path / "a.toml").write_text(
        SCENE.replace("2.0 }", "3.93 }").replace("2.85, at", "3.78, at")
    )
    words = ("--triangles", 60, "--alternatives", 0, "--json")
    found = json.loads(glint("stock", "a.toml", *words, cwd=tmp_path).stdout)
    large = {row["name"]: row["problem"] for row in found["too_large"]}
    assert "icosahedron, triangles raised" in large
    assert all("[[ball]]" in problem for problem in large.values())
    assert not large.keys() & {shape["name"] for shape in found["shapes"]}


def test_shapes_writes_its_page_whole_or_not_at_all(tmp_path, monkeypatch):
    (tmp_path / "a.html").write_text("older")
    assert "--force replaces it" in told("shapes", "-o", "a.html", cwd=tmp_path)
    assert (tmp_path / "a.html").read_text() == "older"
    # In this process, with few pictures to draw.
    few = tuple(entry for entry in candidates() if entry.name in ("cube", "snub cube"))
    monkeypatch.setattr("glint.build.stock.candidates", lambda: few)
    path = str(tmp_path / "a.html")
    words = ["-o", path, "--force", "--tile", "20", "--workers", "1"]
    done = CliRunner().invoke(shapes, words, catch_exceptions=False)
    assert done.output == f"wrote {path}: 2 shapes\n"
    page = (tmp_path / "a.html").read_text()
    assert page.endswith("</html>") and "tiles of 20 mm" in page
    assert names(tmp_path) == ["a.html"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["stock"], "needs --triangles, --squares or both"),
        (["stock", "--triangles", -1], "-1 is not in the range"),
        (["stock", "none.toml", "--triangles", 60], "none.toml"),
        (["stock", "--triangles", 60, "--tile", 40], "at most the panel's edge, 32"),
        (["stock", "--triangles", 60, "--recess", 4], "at most the tile's thickness, 2"),
        (["stock", "--squares", 5, "--aim", "spot"], "'spot' is not one of"),
        (["build", "missing.toml", "-o", "sheet"], "missing.toml"),
        (["build", DEMO, "-o", "no/such/sheet"], "there is no folder"),
        (["build", DEMO, "--paper", "A3"], "'A3' is not one of"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_two(arguments, message, tmp_path):
    assert message in told(*arguments, cwd=tmp_path)
    assert names(tmp_path) == []


@pytest.mark.parametrize("command", ["check", "build"])
def test_too_few_tiles_for_all_balls_and_their_spares_are_told(command, tmp_path):
    steps = 'steps = [{ do = "cap", sides = 10 }]'
    balls = "".join(
        f'[[ball]]\nshape = {{ base = "truncated dodecahedron", {steps} }}\n'
        f"hang = {{ at_m = [{x}, 0.0] }}\n"
        for x in (-1.0, 0.0, 1.0)
    )
    made = f"{balls}[[ball]]\nshape = {{ base = 'octahedron' }}\nhang = {{ at_m = [2.0, 0.0] }}\n"
    room = "[room]\nradius_m = 4.0\n[tile]\nthickness_mm = 0.5\n"
    owned = "[[workshop.owned]]\nsides = 3\ncount = 440\n"
    (tmp_path / "s.toml").write_text(room + made + owned)
    # 3 × 140 + 8 triangles are 428, with 5 % 449.4: 450.
    said = printed(command, "s.toml", cwd=tmp_path)
    assert "warning: 428 triangle tiles of 25 mm are needed, 450 with spares, and 440" in said
    figures = json.loads(printed(command, "s.toml", "--json", *forced(command), cwd=tmp_path))
    lines = figures["warnings"] if command == "check" else figures["shopping"]["short"]
    assert any("10 short, which only spares would need" in line for line in lines)


def forced(command):
    return ["--force"] if command == "build" else []


def test_build_writes_its_folder_once(tmp_path):
    assert "60 tiles" in printed("build", DEMO, "-o", "sheet", cwd=tmp_path)
    nets = ["spiked-twenty-net.pdf", "spiked-twenty-net.svg"]
    written = ["sheet.html", "sheet.json", "sheet.txt", *nets]
    assert names(tmp_path / "sheet") == written
    assert "--force replaces it" in told("build", DEMO, "-o", "sheet", cwd=tmp_path)
    forced = printed("build", DEMO, "-o", "sheet", "--force", "--json", cwd=tmp_path)
    assert json.loads(forced)["balls"][0]["net_pieces"] == 1
