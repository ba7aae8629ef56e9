"""Edited copies of a scene: as if built afresh, to the last bit, and only what changed is built."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import glint
from glint.errors import GlintError
from glint.lighting.prepared import lighting_of
from glint.render.still import eye_luminance
from glint.scene.cache import SharedCache, bytes_of
from glint.schema.read import parse, scene_of
from glint.schema.written import tables_of

SCENES = Path(__file__).parents[2] / "scenes"

TABLES: dict[str, Any] = {
    "room": {"radius_m": 4.0, "rise_m": 3.0, "frequency": 2},
    "ball": [
        {
            "name": "quince",
            "shape": {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]},
            "tile": {"edge_mm": 40, "panel_edge_mm": 60},
            "hang": {"height_m": 2.0},
        },
        {"shape": {"base": "cube"}, "hang": {"height_m": 2.0, "at_m": [1.2, 0.3]}},
    ],
    "lamp": [{"name": "spot", "at_m": [3.0, 0.0, 1.0], "aim": "quince"}],
}

EDITS: dict[str, dict[str, Any]] = {
    "lamp": {"lamp[spot].at_m": (2.5, 0.8, 1.2)},
    "beam": {"lamp[0].beam_deg": 9.0, "lamp[0].kelvin": 5000.0},
    "another lamp": {"lamp[1]": glint.Lamp(at_m=(-2.0, 1.0, 1.0), colour="#ff8800")},
    "height": {"ball[quince].hang.height_m": 1.7},
    "speed": {"ball[0].motion.rpm": -3.0},
    "swing": {"ball[1].motion": glint.Motion(rpm=1.0, swing_deg=8.0)},
    "shape": {"ball[1].shape": glint.Shape(base="octahedron")},
    "tile": {"ball[0].tile.reflectance": 0.5, "tile.thickness_mm": 1.5},
    "room": {"room.rise_m": 2.6, "room.floor_reflectance": 0.5},
    "camera": {"eye": glint.Eye(at_m=(0.5, -2.0, 1.5), fov_deg=60.0)},
    "haze": {"room.haze_per_m": 0.02},
    "string": {
        "tile.seam_mm": 4.0,
        "string": [glint.LedString(ball="ball 2", leds=5)],
    },
    "optics": {"optics.bounces": 1},
}


def of(tables: dict[str, Any]) -> glint.Scene:
    return glint.Scene.of(scene_of(tables))


@functools.cache
def before() -> glint.Scene:
    scene = of(TABLES)
    _ = light_of(scene)
    return scene


def light_of(scene: glint.Scene) -> list[np.ndarray]:
    pose = scene.at(seconds=0.7)
    maps = glint.light(pose, texels=64)
    found, _ = glint.beams(pose)
    unused = np.arange(found.window.shape[1]) >= found.sides[:, None]
    found.window[unused] = 0.0  # never written, never read
    arrays = [array for one in maps.values() for array in (one.lux, one.ambient)]
    return [*arrays, *found, eye_luminance(pose, (64, 36))]


def assert_same(one: list[np.ndarray], other: list[np.ndarray]) -> None:
    assert len(one) == len(other)
    for mine, yours in zip(one, other, strict=True):
        assert mine.shape == yours.shape
        assert mine.tobytes() == yours.tobytes()


@pytest.mark.parametrize("kind", EDITS)
def test_an_edit_gives_the_same_light_as_a_scene_built_afresh(kind):
    edited = before().with_(EDITS[kind])
    afresh = of(tables_of(edited.source))
    assert afresh.cache is not edited.cache
    assert_same(light_of(edited), light_of(afresh))


def test_an_edit_taken_back_gives_the_light_of_before():
    first = light_of(before())
    for kind in ("height", "room", "shape"):
        undone = before().with_(EDITS[kind])
        _ = light_of(undone)
        tables = tables_of(before().source)
        undone = undone.with_({key: tables.get(key) for key in ("room", "ball")})
        assert_same(light_of(undone), first)


def test_what_does_not_depend_on_an_edit_is_not_built_again():
    scene = before()
    moved = scene.with_({"ball[0].hang.height_m": 1.9, "lamp[0].at_m": (2.9, 0.0, 1.0)})
    assert moved.room is scene.room
    assert all(a.body is b.body for a, b in zip(moved.balls, scene.balls, strict=True))
    assert moved.still_polygons is scene.still_polygons
    assert lighting_of(moved).occluders is lighting_of(scene).occluders
    roof = scene.room.surfaces[0]
    assert lighting_of(moved).blocks(roof, 64) is lighting_of(scene).blocks(roof, 64)
    reshaped = scene.with_(EDITS["shape"])
    assert reshaped.room is scene.room
    assert reshaped.balls[0].body is scene.balls[0].body
    assert reshaped.balls[1].body is not scene.balls[1].body


def test_a_mesh_file_that_changed_is_read_again(tmp_path):
    def write(scale: float) -> None:
        corners = [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]
        lines = ["v {} {} {}".format(*(scale * v for v in corner)) for corner in corners]
        lines += ["f 1 2 3", "f 1 4 2", "f 1 3 4", "f 2 4 3"]
        (tmp_path / "pear.obj").write_text("\n".join(lines))

    write(100)
    room, shape = glint.Dome(radius_m=3.0), glint.Shape(mesh="pear.obj")
    scene = glint.Scene(room=room, balls=[glint.Ball(shape=shape)], folder=tmp_path)
    write(120)
    later = scene.with_({"title": "Pear"})
    assert later.balls[0].body.radius == pytest.approx(1.2 * scene.balls[0].body.radius)


def test_the_scene_itself_stays_as_it_is():
    tables, text = tables_of(before().source), before().to_toml()
    edited = before().with_({"lamp[spot].name": "moon", "ball[0].hang.height_m": None})
    assert edited.lamps[0].name == "moon"
    assert edited.balls[0].centre[2] == pytest.approx(0.6 * 3.0)
    assert before().lamps[0].name == "spot"
    assert tables_of(before().source) is tables and before().to_toml() == text


WRONG = {
    "lamps[0].at_m": '"lamps"; allowed: "title", .*did you mean "lamp"',
    "lamp[3].at_m": r"found \[3\]; allowed: \[0\] to \[1\]",
    "lamp[spt].at_m": 'found "spt"; allowed: "spot"; did you mean "spot"',
    "lamp.at_m": "keys joined by dots, rows in brackets",
    "room[0]": "keys joined by dots, rows in brackets",
    "room..rise_m": "keys joined by dots",
    "lamp[0].at": '"lamp|at.*did you mean "at_m"',
    "lamp[0].beam_deg": r"\[\[lamp\]\] 1 beam_deg: found \"wide\"; allowed: a number of degrees",
    "": "keys joined by dots",
    "ball[0].shape.steps.do": "allowed: a row of it in brackets",
    "ball[0].name.at": "allowed: a path to a key",
}


@pytest.mark.parametrize("path", WRONG)
def test_a_wrong_edit_is_told_in_one_line(path):
    with pytest.raises(GlintError, match=WRONG[path]):
        before().with_({path: "wide"})


@pytest.mark.parametrize("changes", [None, 3, "lamp[0]", ["x"], {3: 4}, {None: 1}])
def test_changes_of_any_other_kind_are_told(changes):
    with pytest.raises(GlintError, match="allowed: "):
        before().with_(changes)


@pytest.mark.parametrize("path", sorted(SCENES.glob("*.toml")), ids=lambda path: path.stem)
def test_a_file_comes_back_as_it_was_and_as_one_without_comments(path):
    scene = glint.load(path)
    assert scene.to_toml() == path.read_text()
    wanted = scene.source.model_dump()
    bare = glint.schema.write.as_text(tables_of(scene.source))
    assert "#" not in bare.replace('"#', "") and len(bare) <= len(path.read_text())
    assert scene_of(parse(bare.encode(), "x"), path).model_dump() == wanted
    # What was filled in gives the same file again, where it is not known what was written.
    forgotten = scene.source.replaced()
    assert scene_of(tables_of(forgotten), path).model_dump() == wanted


def test_an_edited_file_keeps_its_comments_and_reads_back():
    scene = glint.load(SCENES / "harvest.toml")
    edited = scene.with_(
        {
            "ball[0].hang.height_m": 1.9,
            "lamp[1]": None,
            "lamp[2]": glint.Lamp(at_m=(0.0, 2.0, 0.5)),
            "ball[1].tile": {"edge_mm": 12.0},
            "workshop": glint.Workshop(hands=2),
            "title": None,
        }
    )
    text = edited.to_toml()
    comments = [line for line in scene.to_toml().splitlines() if line.startswith("#")]
    assert comments and comments[0] in text
    again = scene_of(parse(text.encode(), "x"), scene.source.path)
    assert again.model_dump() == edited.source.model_dump()


def test_the_cache_forgets_what_was_not_asked_for_longest():
    cache = SharedCache(most=3 * bytes_of(np.zeros(1000)))
    made: list[int] = []

    def make(number: int) -> np.ndarray:
        made.append(number)
        return np.zeros(1000)

    for number in (1, 2, 3, 1, 4, 1, 2):
        cache.get(number, functools.partial(make, number))
    assert made == [1, 2, 3, 4, 2]
    assert cache.bytes <= cache.most
    cache.get("too large", lambda: np.zeros(10**5))
    assert cache.bytes <= cache.most


def test_what_is_lent_is_had_by_one_only():
    cache = SharedCache()
    with (
        cache.lent("desk", lambda: np.zeros(3)) as one,
        cache.lent("desk", lambda: np.ones(3)) as two,
    ):
        assert one is not two
    with cache.lent("desk", lambda: np.zeros(3)) as again:
        assert again is one or again is two


def test_strings_and_their_cavity_are_kept_where_their_ball_stays():
    scene = glint.load(SCENES / "windfall.toml")
    moved = scene.with_({"lamp[0].at_m": (2.0, 0.5, 1.5), "ball[0].motion.rpm": 2.0})
    assert lighting_of(moved).cavities[0] is lighting_of(scene).cavities[0]
    raised = scene.with_({"ball[0].hang.height_m": 1.9})
    assert raised.strings[0] is scene.strings[0]
    assert lighting_of(raised).cavities[0] is not lighting_of(scene).cavities[0]
