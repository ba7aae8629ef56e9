"""The sheet's files: page, text and figures agree, nothing is fetched, texts stay texts."""

from __future__ import annotations

import itertools
import json
import math
import re
from pathlib import Path

import pytest

from glint.build.cautions import CAUTIONS, DEFERENCE, as_markdown
from glint.build.handling import HANDLING
from glint.build.pages import files_of
from glint.build.sheet import as_figures, sheet
from tests.build.tables import OPEN_4, RAISE_3, scene
from tests.markup import Markup

ROOT = Path(__file__).parents[2]

# Dihedral angles, degrees (Coxeter, Regular Polytopes, table I).
PLATONIC = {
    "tetrahedron": (math.degrees(math.acos(1 / 3)), 6),
    "cube": (90.0, 12),
    "octahedron": (math.degrees(math.acos(-1 / 3)), 12),
    "icosahedron": (math.degrees(math.acos(-math.sqrt(5) / 3)), 30),
}


@pytest.fixture(scope="module")
def lantern():
    steps = [{"do": "open", "sides": 5}, {"do": "raise", "sides": 5}]
    ball = {"name": "lantern", "shape": {"base": "rhombicosidodecahedron", "steps": steps}}
    return sheet(scene(ball, title="Quince Night: the lantern"))


@pytest.fixture(scope="module")
def files(lantern):
    return files_of(lantern)


def test_all_files_are_there(files):
    assert set(files) == {
        "sheet.html",
        "sheet.txt",
        "sheet.json",
        "lantern-net.svg",
        "lantern-net.pdf",
    }
    assert files["lantern-net.pdf"].startswith(b"%PDF")


def test_the_page_is_whole_and_fetches_nothing(files):
    text = files["sheet.html"].decode()
    page = Markup(text)
    assert set(page.links) == {"#cautions"}  # it hangs by an opening: nothing is to be put in
    assert 'id="cautions"' in text
    # The one address is the name of the SVG language, which nobody fetches.
    assert set(re.findall(r"https?://[^\s\"'<>]+", text)) == {"http://www.w3.org/2000/svg"}
    assert "url(" not in text and "@import" not in text and "<script" not in text


def test_page_text_and_figures_agree(lantern, files):
    figures = json.loads(files["sheet.json"])
    ball = figures["balls"][0]
    assert ball["weight_g"]["total"] == pytest.approx(1e3 * lantern.balls[0].mass.total)
    weight = f"{ball['weight_g']['total']:.0f} g"
    assert weight in Markup(files["sheet.html"].decode()).text
    assert weight in files["sheet.txt"].decode()
    assert sum(kind["needed"] for kind in ball["tiles"]) == 105
    (part,) = ball["parts"]
    assert (part["letter"], part["name"], part["count"]) == ("A", "five-sided pyramid", 11)
    assert part["of"] == {"triangle": 5} and len(part["pieces"]) == 11
    page, text = Markup(files["sheet.html"].decode()).text, files["sheet.txt"].decode()
    for tag, numbers in part["pieces"].items():
        told = f"{numbers[0]}–{numbers[-1]}"  # five in a row
        assert f"{tag} {told}" in page and f"{tag}: {told}" in text
    rows = [row["pieces"] for row in ball["rows_from_below"]]
    assert sum(len(row) for row in rows) == 105 - 11 * 4
    assert ", ".join(rows[1]) in page and ", ".join(rows[1]) in text
    assert sum(angle["count"] for angle in ball["dihedral_angles"]) == ball["joints"] == 170


def test_both_carry_every_caution(files):
    page, text = Markup(files["sheet.html"].decode()).text, files["sheet.txt"].decode()
    for caution in CAUTIONS:
        assert caution.advice in page and caution.advice in text
    for one in HANDLING:
        assert one.advice in page and one.advice in text
    assert DEFERENCE in page and DEFERENCE in text


def test_handling_says_where_to_press_and_what_cleans():
    said = " ".join(one.advice for one in HANDLING)
    for told in (
        "Press on the panel, never on the mirror",
        "isopropyl alcohol",
        "microfibre cloth",
        "moving air, away from flames",
        "Take a finished body from below",
    ):
        assert told in said


def test_a_sphere_without_parts_is_joined_by_number():
    ball = {"shape": {"base": "geodesic", "diameter_m": 0.3, "frequency": 2}}
    made = files_of(sheet(scene(ball)))
    (figures,) = json.loads(made["sheet.json"])["balls"]
    order = figures["panels_from_below"]
    assert sorted(order, key=int) == [str(n) for n in range(1, 81)]
    assert "in this order:" in made["sheet.txt"].decode()
    assert "in this order:" in Markup(made["sheet.html"].decode()).text


def test_the_readme_quotes_the_cautions():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert readme.split("## Cautions\n\n")[1].split("\n\n## ")[0].rstrip() == as_markdown()


def test_texts_of_a_stranger_stay_texts():
    nasty = '<script>alert("x")</script> & {{ 7 * 7 }}'
    made = files_of(sheet(scene({"name": nasty, "shape": {"base": "cube"}}, title=nasty)))
    text = made["sheet.html"].decode()
    assert "<script" not in text
    assert Markup(text).text.count('<script>alert("x")</script> & {{ 7 * 7 }}') >= 3
    assert nasty in made["sheet.txt"].decode()
    (net,) = (name for name in made if name.endswith(".svg"))
    assert net == "script-alert-x-script-7-7-net.svg"
    assert "<script" not in made[net].decode()
    assert json.loads(made["sheet.json"])["title"] == nasty


@pytest.mark.parametrize("base", PLATONIC)
def test_dihedral_angles_of_platonic_solids(base):
    figures = as_figures(sheet(scene({"shape": {"base": base}})))
    (angle,) = figures["balls"][0]["dihedral_angles"]
    assert (angle["inside_deg"], angle["count"]) == (
        pytest.approx(PLATONIC[base][0]),
        PLATONIC[base][1],
    )
    assert angle["bevel_deg"] == pytest.approx(90 - PLATONIC[base][0] / 2)


def test_the_sheet_of_the_ring_laid_ball_has_a_core_and_no_net():
    made = files_of(sheet(scene({"shape": {"base": "rings", "diameter_m": 0.3}})))
    assert set(made) == {"sheet.html", "sheet.txt", "sheet.json"}
    # 300 mm less two tiles of 2 mm and two films of glue of 0.15 mm.
    assert "one round core, ready-made, 295.7 mm across" in made["sheet.txt"].decode()
    (ball,) = json.loads(made["sheet.json"])["balls"]
    assert ball["panels"] == []
    rings = ball["core"]["rings"]
    assert sum(row["rings"] * row["tiles_each"] for row in rings) == ball["tiles"][0]["needed"]
    away = [row["from_equator_mm"] for row in rings]
    # Rings are spread evenly: neighbours are alike far apart, across the equator too.
    steps = {round(b - a, 6) for a, b in itertools.pairwise([-away[0], *away])}
    assert away[0] == 0 or len(steps) == 1
    assert away[-1] < math.pi / 4 * 295.7
    assert "bear" not in made["sheet.html"].decode()


def test_each_of_several_balls_has_its_net():
    balls = [
        {"shape": {"base": "cube"}},
        {"shape": {"base": "octahedron"}, "hang": {"at_m": [1, 0]}},
    ]
    made = files_of(sheet(scene(*balls)), "letter")
    nets = {f"ball-{number}-net.{ending}" for number in (1, 2) for ending in ("svg", "pdf")}
    assert nets < set(made)
    text, page = made["sheet.txt"].decode(), Markup(made["sheet.html"].decode()).text
    assert "of letter" in text
    for number in (1, 2):
        assert f"NET OF ball {number}" in text and f"Net of ball {number}" in page
        assert f"net of ball {number}" in made[f"ball-{number}-net.svg"].decode()


def test_what_the_workshop_says_is_used():
    ball = {"shape": {"base": "icosahedron", "steps": [RAISE_3]}}
    plain = as_figures(sheet(scene(ball)))["balls"][0]
    bench = {"glass_g_cm3": 5.0, "hands": 2, "cord_m": 1.0, "spare_percent": 50}
    other = as_figures(sheet(scene(ball, workshop=bench)))["balls"][0]
    assert other["weight_g"]["tiles"] == pytest.approx(2 * plain["weight_g"]["tiles"])
    assert other["hours"]["gluing"] == pytest.approx(0.5 * plain["hours"]["gluing"])
    assert other["hanging"]["cord_m"] == 1.0
    assert other["tiles"][0]["with_spares"] == 90


@pytest.mark.parametrize(("bench", "factor"), [({}, 10.0), ({"hardware_factor": 7.5}, 7.5)])
def test_hardware_is_rated_for_so_many_times_the_weight(bench, factor):
    made = files_of(sheet(scene({"shape": {"base": "icosahedron"}}, workshop=bench)))
    (ball,) = json.loads(made["sheet.json"])["balls"]
    rated = factor * 1e-3 * ball["weight_g"]["total"]
    assert ball["hanging"]["hardware_rated_kg"] == pytest.approx(rated)
    told = rf"hook, cord and safety line for {rated:.1f} kg or more, {factor:g} times"
    assert told in Markup(made["sheet.html"].decode()).text
    assert told in made["sheet.txt"].decode()


@pytest.mark.parametrize(
    ("room", "overhead", "height"),
    [
        ({"radius_m": 4.0}, "the dome", math.sqrt(4.0**2 - 1.5**2)),
        ({"radius_m": 4.0, "wall_m": 0.5}, "the dome", 0.5 + math.sqrt(4.0**2 - 1.5**2)),
        # A cap of half the rise: its sphere has a radius of (4² + 2²) / (2 · 2) = 5 m and its
        # middle 3 m under the floor.
        ({"radius_m": 4.0, "rise_m": 2.0}, "the dome", math.sqrt(5.0**2 - 1.5**2) - 3.0),
        (
            {"kind": "bell", "radius_m": 3.0, "rise_m": 2.0, "wall_m": 0.8},
            "the roof",
            0.8 + 2.0 * (1.0 - 1.5 / 3.0),
        ),
        ({"kind": "hall", "length_m": 9, "width_m": 6, "height_m": 3.4}, "the ceiling", 3.4),
    ],
)
def test_the_cord_goes_up_to_what_is_overhead_by_itself(room, overhead, height):
    at = {"height_m": 1.2, "at_m": [0.9, -1.2], "by": "face"}  # 1.5 m from the middle
    ball = {"shape": {"base": "cube"}, "hang": at}
    made = files_of(sheet(scene(ball, room=room)))
    hanging = json.loads(made["sheet.json"])["balls"][0]["hanging"]
    # The cord takes hold on the upper face, half a panel of 32 mm above the middle.
    assert hanging["cord_m"] == pytest.approx(height - 1.2 - 0.016)
    assert hanging["cord_goes_up_to"] == overhead
    told = f"{height - 1.216:.2f} m, straight up to {overhead}"
    assert told in Markup(made["sheet.html"].decode()).text
    assert told in made["sheet.txt"].decode()


def test_a_cord_that_is_given_is_taken_as_it_is():
    at = {"height_m": 1.2, "by": "face", "cord_m": 0.7}
    made = files_of(sheet(scene({"shape": {"base": "cube"}, "hang": at})))
    assert "0.70 m; one swing" in made["sheet.txt"].decode()


def test_each_panel_at_the_hold_bears_its_share_of_the_weight():
    (ball,) = as_figures(sheet(scene({"shape": {"base": "icosahedron"}})))["balls"]
    hanging = ball["hanging"]
    assert hanging["pull_n"] == pytest.approx(9.80665e-3 * ball["weight_g"]["total"])
    assert hanging["panels_that_bear"] == 5
    assert hanging["pull_a_panel_n"] == pytest.approx(hanging["pull_n"] / 5)


def test_a_ball_that_leans_says_so():
    ball = {"shape": {"base": "cube", "steps": [OPEN_4]}, "hang": {"by": "vertex"}}
    made = files_of(sheet(scene(ball)))
    assert re.search(r"tilt +\d+\.\d°; the centre of mass lies", made["sheet.txt"].decode())


def test_joints_that_lie_flat_are_told():
    # Over a square's side a cuboctahedron bends by 180° − acos(−1/√3), and a pyramid of equilateral
    # triangles rises there by acos(1/√3): the same, so panels on both sides lie in one plane. It
    # has six squares (Coxeter).
    steps = [{"do": "raise", "sides": 4}]
    made = files_of(sheet(scene({"shape": {"base": "cuboctahedron", "steps": steps}})))
    assert "to know: 24 joints lie flat" in made["sheet.txt"].decode()
    assert "To know: 24 joints lie flat." in Markup(made["sheet.html"].decode()).text
    plain = files_of(sheet(scene({"shape": {"base": "cube"}})))
    assert "to know" not in plain["sheet.txt"].decode()


def test_a_scene_whose_name_is_no_text_is_named_as_a_terminal_would():
    made = scene({"shape": {"base": "tetrahedron"}})
    made.name = "quince\udcff.toml"  # how Python reads a name that is not UTF-8
    files = files_of(sheet(made))
    for name in ("sheet.html", "sheet.txt", "sheet.json"):
        assert "udcff.toml" in files[name].decode()
