"""Lengths in inches and feet: read exactly, named as written in errors, and written back."""

from __future__ import annotations

import pytest

import glint
from glint.errors import SceneError
from glint.schema.describe import tables_in
from glint.schema.lengths import in_unit, is_length
from glint.schema.read import parse, scene_of
from glint.schema.tables import SceneFile
from glint.search.rewrite import rewritten

BALL = '[[ball]]\nname = "pear"\nshape = { base = "icosahedron" }\n'
FEET = """\
[room]
radius_ft = 13  # paced
wall_in = 20

[tile]
edge_in = 1  # off the shelf
panel_edge_in = 1.25

[[ball]]
shape = { base = "icosahedron" }
hang = { height_ft = 8.0, at_ft = [1.0, 0] }

[[lamp]]
at_ft = [9.0, 0.0, 5.0]
lens_in = 2
"""


def read(text: str) -> SceneFile:
    return scene_of(parse(text.encode(), "pears.toml"), "pears.toml", text)


def message(text: str) -> str:
    with pytest.raises(SceneError) as caught:
        glint.Scene.of(read(text))
    return str(caught.value).replace("pears.toml: ", "")


def test_an_inch_is_25_4_mm_and_a_foot_0_3048_m_exactly():
    """International yard and pound agreement of 1959."""
    file = read(FEET)
    assert (file.tile.edge_mm, file.tile.panel_edge_mm) == (25.4, 31.75)
    assert file.room.model_dump()["radius_m"] == 13 * 0.3048
    assert file.room.model_dump()["wall_m"] == pytest.approx(0.508, rel=1e-15)
    assert (file.ball[0].hang.height_m, file.ball[0].hang.at_m) == (8 * 0.3048, (0.3048, 0.0))
    assert file.lamp[0].at_m == (9 * 0.3048, 0.0, 5 * 0.3048)
    assert file.lamp[0].lens_mm == 50.8


def every_table():
    waiting, seen = [(SceneFile,)], set()
    while waiting:
        kinds = waiting.pop()
        if kinds in seen:
            continue
        seen.add(kinds)
        yield kinds
        for table in kinds:
            waiting += [t for f in table.model_fields.values() if (t := tables_in(f.annotation))]


def test_every_length_of_every_table_may_be_written_so():
    count = 0
    for kinds in every_table():
        keys = {key for table in kinds for key in table.model_fields if is_length(key)}
        stems = [key.rpartition("_")[0] for key in keys]
        assert len(stems) == len(set(stems)), "one key stands for two lengths"
        count += len(keys)
    assert count > 30
    assert not is_length("haze_per_m") and not is_length("speed_at_most_m_s")
    mesh = '[[ball]]\nname = "m"\nshape = { vertices_ft = [[0,0,0],[1,0,0],[0,1,0],[0,0,1]], '
    mesh += "faces = [[0,2,1],[0,1,3],[1,2,3],[0,3,2]] }\n"
    string = '[[string]]\nball = "m"\nlay = "points"\npoints_in = [[1, 1, 1]]\n'
    eye = "[eye]\nat_in = [0, -80, 48]\nlook_ft = [0, 0, 7]\n"
    more = "[workshop]\npanel_thickness_in = 0.125\ncord_ft = 3\n"
    file = read(FEET + mesh + string + eye + more)
    assert file.ball[1].shape.vertices_m[1] == (0.3048, 0.0, 0.0)
    assert file.string[0].points_mm == ((25.4, 25.4, 25.4),)
    assert file.eye.at_m == pytest.approx((0, -2.032, 1.2192))
    assert file.eye.look_m == (0.0, 0.0, 7 * 0.3048)
    assert file.workshop.panel_thickness_mm == 3.175 and file.workshop.cord_m == 3 * 0.3048


BAD = {
    "both": (
        FEET + "beam_deg = 6.0\n[workshop]\ncord_m = 1.0\ncord_ft = 3.0\n",
        "[workshop] cord_ft: found 3 beside cord_m; allowed: only one of cord_m and cord_ft",
    ),
    "inches and feet": (
        f"[room]\nradius_ft = 13\nradius_in = 156\n{BALL}",
        "[room] radius_in: found 156 beside radius_ft; allowed: only one of radius_ft and",
    ),
    "range": (
        f"[room]\nradius_ft = 1\n{BALL}",
        "[room] radius_ft: found 1; allowed: a number of feet from 1.64042 to 328.083",
    ),
    "above": (
        f"[room]\nradius_m = 4\n{BALL}[[lamp]]\nlens_in = 0\n",
        "[[lamp]] 1 lens_in: found 0; allowed: a number of inches from 0.0393701 to 78.7401",
    ),
    "point": (
        f"[room]\nradius_m = 4\n{BALL}[eye]\nat_ft = [0, 900, 1]\n",
        "[eye] at_ft: found [0, 900, 1]; allowed: a point [x, y, z] in feet, each from -656.167 "
        "to 656.167",
    ),
    "no number": (
        f"[room]\nradius_m = 4\n{BALL}[eye]\nat_ft = [0, 'x', 1]\n",
        '[eye] at_ft: found [0, "x", 1]; allowed: a point [x, y, z] in feet',
    ),
    "huge": (
        f"[room]\nradius_in = 1{'0' * 400}\n{BALL}",
        "[room] radius_in: found a very large whole number; allowed: a number of inches",
    ),
    "shares": (
        f"[room]\nradius_ft = 13\nrise_ft = 20\n{BALL}",
        "[room] rise_ft: found 20; allowed: a number of feet from 2.6 to 13 (0.2 to 1 times "
        "radius_ft)",
    ),
    "other key in inches": (
        f"[room]\nradius_m = 4\n{BALL}[tile]\nedge_mm = 40\npanel_edge_in = 1.25\n",
        "[tile] edge_mm: found 40; allowed: at most the panel's edge, panel_edge_in = 1.25",
    ),
    "other key's default": (
        f"[room]\nradius_m = 4\n{BALL}[tile]\nedge_in = 2\n",
        "[tile] edge_in: found 2; allowed: at most the panel's edge, panel_edge_mm = 32 (1.26 in)",
    ),
    "seam": (
        f"[room]\nradius_m = 4\n{BALL}[tile]\nseam_in = 1\n",
        "[tile] seam_in: found 1; allowed: less than 0.727559 in, or nothing is left",
    ),
    "other kind": (
        f"[room]\nradius_m = 4\ncrown_ft = 3\n{BALL}",
        '[room] crown_ft: found 3 with kind = "dome"; allowed: crown_ft only with kind = "yurt"',
    ),
    "misspelt": (
        f"[room]\nradus_ft = 13\n{BALL}",
        'did you mean "radius_ft"?',
    ),
    "no length": (f"[room]\nradius_m = 4\nhaze_per_ft = 0.1\n{BALL}", "haze_per_ft: found an unk"),
    "when built": (
        f"[room]\nradius_ft = 13\n{BALL}hang = {{ height_ft = 30 }}\n",
        "[[ball]] 1 hang.height_ft: found 30 ft, ",
    ),
    "lamp outside": (
        f"[room]\nradius_ft = 13\n{BALL}[[lamp]]\nat_ft = [20, 0, 1]\n",
        "[[lamp]] 1 at_ft: found [20, 0, 1]; allowed: a point inside the room",
    ),
}


@pytest.mark.parametrize(("text", "expected"), BAD.values(), ids=BAD.keys())
def test_errors_name_the_key_and_the_unit_that_were_written(text, expected):
    assert expected in message(text)


def test_what_is_said_to_be_allowed_is_allowed():
    """Limits are rounded to the side on which they hold."""
    for value in (1.64042, 328.083):
        read(f"[room]\nradius_ft = {value}\n{BALL}")
    for key, least, most in (("lens_in", 0.0393701, 78.7401), ("lens_ft", 0.00328084, 6.56167)):
        for value in (least, most):
            read(f"[room]\nradius_m = 4.0\n{BALL}[[lamp]]\n{key} = {value}\n")
    text = "a number of millimetres above 0, at most 1e+06"
    assert in_unit(text, "in") == "a number of inches above 0, at most 39370"


def test_written_back_in_the_units_and_with_the_comments_of_the_file():
    scene = glint.Scene.of(read(FEET))
    assert scene.to_toml() == FEET
    changes = {"ball[0].hang.height_m": 3.048, "tile.edge_mm": 12.7, "lamp[0].at_m": (3.048, 0, 1)}
    edited = scene.with_(changes)
    text = edited.to_toml()
    assert "height_ft = 10.0" in text and "edge_in = 0.5  # off the shelf" in text
    assert edited.balls[0].centre[2] == 3.048 and tuple(edited.lamps[0].position) == (3.048, 0, 1)
    assert read(text).model_dump() == edited.source.model_dump()
    feet = scene.with_({"ball[0].hang.height_ft": 7.0, "room.radius_in": 120})
    assert "height_ft = 7.0" in feet.to_toml() and "radius_ft = 10.0  # paced" in feet.to_toml()
    default = scene.with_({"tile.edge_mm": None, "tile.panel_edge_mm": None})
    assert default.source.tile.edge_mm == 25.0 and "edge_in" not in default.to_toml()
    bad = glint.Scene.of(read(FEET))
    with pytest.raises(SceneError, match=r"lens_in: found \"big\"; allowed: a number of inches"):
        bad.with_({"lamp[0].lens_mm": "big"})


def test_place_writes_the_units_that_stand_in_the_file():
    free = '[[free]]\nball = "ball 1"\nkey = "height_m"\nleast = 2\nmost = 3\n'
    free += '[[free]]\nlamp = "lamp 1"\nkey = "x_m"\nleast = 1\nmost = 3\n'
    text = FEET + free
    after = rewritten(text, read(text), [2.1336, 2.0])
    assert "height_ft = 7.0" in after and "height_m =" not in after and "# paced" in after
    file = read(after)
    assert file.ball[0].hang.height_m == 2.1336
    assert file.lamp[0].at_m == (2.0, 0.0, 5 * 0.3048)


def test_the_same_in_python():
    made = glint.Tile(edge_in=1)
    assert made.edge_mm == 25.4
    ball = glint.Ball(shape=glint.Shape(base="cube"), hang={"height_ft": 8.0})
    assert ball.hang.height_m == 8 * 0.3048
    scene = glint.Scene(room={"radius_ft": 13.0}, balls=[ball], lamps=[{"lens_in": 2}])
    assert "radius_ft = 13.0" in scene.to_toml() and "lens_in = 2" in scene.to_toml()
    assert read(scene.to_toml()).room.model_dump()["radius_m"] == 13 * 0.3048
    with pytest.raises(SceneError, match="edge_in: found 100; allowed: a number of inches from"):
        glint.Tile(edge_in=100)
    with pytest.raises(SceneError, match="only one of edge_mm and edge_in"):
        glint.Tile(edge_in=1, edge_mm=25.4)
