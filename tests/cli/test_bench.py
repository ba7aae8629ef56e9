"""The commands for the bench: stock and build."""

from __future__ import annotations

import json

import pytest

from tests.cli.command import DEMO, glint, names, printed, told


def test_stock_lists_shapes_and_sets(tmp_path):
    text = printed("stock", "--triangles", 24, "--squares", 6, cwd=tmp_path)
    header, *rows = text.split("\n\n")[0].split("\n")
    assert header.split("\t")[:3] == ["name", "triangles", "squares"]
    assert any(row.startswith("icosahedron\t20\t0\t1\t4\t6") for row in rows)
    assert "most tiles used: 30" in text


def test_stock_as_json_with_spares(tmp_path):
    done = glint(
        "stock", "--triangles", 22, "--spare", 10, "--aim", "balls", "--json", cwd=tmp_path
    )
    found = json.loads(done.stdout)
    assert found["usable"] == {"triangles": 20, "squares": 0}
    assert found["sets"][0]["value"] == 5
    assert found["sets"][0]["shapes"] == [{"name": "tetrahedron", "count": 5}]
    # Without the five: three tetrahedra and an octahedron, or three and a bipyramid of six.
    assert [chosen["value"] for chosen in found["sets"]] == [5, 4, 4]


def test_a_stock_that_makes_nothing_says_what_is_short(tmp_path):
    done = glint("stock", "--triangles", 3, cwd=tmp_path)
    assert done.returncode == 0
    assert "3 triangles make no shape" in done.stdout
    assert "tetrahedron: 1 triangle short" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["stock"], "needs --triangles, --squares or both"),
        (["stock", "--triangles", -1], "-1 is not in the range"),
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
