"""Names of the catalogue as shapes of a scene."""

from __future__ import annotations

import pytest

import glint
from glint.errors import SceneError
from glint.schema.read import scene_of
from glint.shape.catalogue import catalogue
from glint.shape.named_shapes import nearest_name, shape_named, shapes
from glint.shape.wording import steps_as_toml

NAME = "icosahedron, triangles raised"


def scene(shape, **more):
    return scene_of({"room": {"radius_m": 4.0}, "ball": [{"shape": shape}], **more})


def test_each_name_stands_for_its_row_of_the_catalogue():
    rows = catalogue()
    assert [named.name for named in shapes()] == [entry.name for entry in rows]
    for entry in rows:
        named = shape_named(entry.name)
        assert named is not None
        assert (named.base, named.sides) == (entry.base, entry.sides)
        assert steps_as_toml(named.steps) == entry.steps


def test_a_name_is_the_same_as_its_table():
    told = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
    assert scene(NAME).ball[0].shape == scene(told).ball[0].shape
    prism = scene("pentagonal prism, pentagons raised").ball[0].shape
    assert (prism.base, prism.sides, len(prism.steps)) == ("prism", 5, 1)


def test_candidates_may_be_named():
    (candidate,) = scene("cube", candidate=[{"shape": "snub cube"}]).candidate
    assert (candidate.shape.base, candidate.by) == ("snub cube", "vertex")


@pytest.mark.parametrize(
    ("found", "near"),
    [
        ("icosahedrn, triangles raised", NAME),
        ("Truncated-Cube, octagons capped", "truncated cube, octagons capped"),
        # Its panels would cut each other, so there is no such shape.
        (
            "octahedron, triangles raised, triangles raised",
            "cuboctahedron, triangles raised, triangles raised",
        ),
        ("qqq", None),
    ],
)
def test_an_unknown_name_is_told_the_nearest(found, near):
    assert shape_named(found) is None
    assert nearest_name(found) == near
    with pytest.raises(SceneError) as caught:
        scene("cube", candidate=[{"shape": found}])
    (problem,) = caught.value.problems
    assert (problem.where, problem.nearest) == ("[[candidate]] 1 shape", near)
    assert problem.allowed.startswith("the name of a shape that `glint shapes` lists, or a table")


def test_in_python_a_ball_takes_a_name():
    hung = glint.Scene(room=glint.Dome(radius_m=4.0), balls=[glint.Ball(shape=NAME)])  # type: ignore[arg-type]
    assert hung.balls[0].body.name == NAME
    with pytest.raises(SceneError, match='did you mean "cube"'):
        glint.Ball(shape="cubes")  # type: ignore[arg-type]


def test_an_edit_inside_a_named_shape_turns_it_into_its_table(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(f'[room]\nradius_m = 4.0\n[[ball]]\nshape = "{NAME}" # kept\n')
    known = glint.load(path)
    assert f'shape = "{NAME}" # kept' in known.to_toml()
    opened = {"do": "open", "sides": 3}
    changed = known.with_({"ball[0].shape.steps": [{"do": "raise", "sides": 3}, opened]})
    assert changed.balls[0].body.name == f"{NAME}, 1 triangle open"
    assert known.with_({"ball[0].shape": "cube"}).balls[0].body.name == "cube"
