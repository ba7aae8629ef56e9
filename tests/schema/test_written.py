"""Scenes written as files again: whatever can be built comes back the same, light and all."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import glint
from glint.errors import SceneError
from glint.lighting.illumination import beams
from glint.scene.scene import Scene
from glint.schema.read import parse, scene_of
from glint.schema.tables import SceneFile
from glint.schema.write import as_text
from glint.schema.written import tables_of
from tests.fuzz import scenes as fuzz


def read(text: str) -> SceneFile:
    return scene_of(parse(text.encode(), "scene.toml"))


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False))
def test_any_scene_comes_back_the_same(random: Random):
    try:
        file = scene_of(fuzz.scene(random))
    except SceneError:
        return
    for tables in (tables_of(file), tables_of(file.replaced())):
        assert read(as_text(tables)).model_dump() == file.model_dump()


@pytest.mark.parametrize("number", range(4))
def test_a_random_scene_written_and_read_gives_the_same_light(number):
    random = Random(number)
    while True:
        try:
            scene = Scene.of(scene_of(fuzz.scene(random)))
            break
        except SceneError:
            continue
    again = Scene.of(read(scene.to_toml()))
    first, second = scene.at(degrees=7.0), again.at(degrees=7.0)
    assert first.polygons.corners.tobytes() == second.polygons.corners.tobytes()
    for mine, yours in zip(beams(first)[1], beams(second)[1], strict=True):
        assert mine.tobytes() == yours.tobytes()
    for name, lit in glint.light(first, texels=32).items():
        assert lit.lux.tobytes() == glint.light(second, texels=32)[name].lux.tobytes()


WRITTEN = """\
# An evening among pears.
title = "Pears"  # as on the invitation

[room]
radius_m = 4.0  # paced

[[ball]]
shape = { base = "cube" }  # the old one

[[ball]]  # the new one
shape = { base = "octahedron" }
hang = { height_m = 2.0, at_m = [1.0, 0.0] }
"""


def edited(changes: dict) -> str:
    return Scene.of(scene_of(parse(WRITTEN.encode(), "x"), "x", WRITTEN)).with_(changes).to_toml()


def test_only_what_was_edited_changes_in_the_text():
    text = edited({"ball[1].hang.height_m": 2.5, "title": "Plums"})
    wanted = WRITTEN.replace("height_m = 2.0", "height_m = 2.5").replace('"Pears"', '"Plums"')
    assert text == wanted


def test_rows_and_tables_come_and_go():
    lamp = glint.Lamp(at_m=(3.0, 0.0, 1.0))
    text = edited({"lamp[0]": lamp, "eye": {"fov_deg": 60.0}, "ball[1]": None, "room.wall_m": 0.5})
    assert "# paced" in text and "# the new one" not in text
    assert "[[lamp]]" in text and "[eye]" in text and "octahedron" not in text
    file = read(text)
    assert (len(file.ball), file.lamp[0].at_m, file.room.wall_m) == (1, (3.0, 0.0, 1.0), 0.5)
    fewer = edited({"ball[0]": None})
    assert "# the new one" in fewer and "# the old one" not in fewer
    assert "title" not in edited({"title": None})
