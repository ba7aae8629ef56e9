"""Whatever a scene file holds, it is read or explained: no other error ever comes out."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from glint.errors import SceneError
from glint.room.dome import DomeTable
from glint.schema.read import parse, scene_of
from glint.schema.tables import BallTable, EyeTable, LampTable, SceneFile, TileTable

GOOD: dict[str, Any] = {
    "title": "Quince Night",
    "visible_contrast": 0.2,
    "room": {"kind": "dome", "radius_m": 4.0, "rise_m": 3.0, "fabric_colour": "#ffeedd"},
    "tile": {"edge_mm": 25, "panel_edge_mm": 32.0, "seed": 3},
    "ball": [
        {
            "name": "pear",
            "shape": {
                "base": "icosahedron",
                "steps": [{"do": "open", "sides": 3}, {"do": "raise", "sides": 3}],
            },
            "hang": {"height_m": 2.4, "at_m": [0.0, 1.0], "by": "opening"},
            "motion": {"rpm": 1.5},
        },
        {"shape": {"base": "rings", "diameter_m": 0.5}, "tile": {"edge_mm": 10}},
    ],
    "lamp": [
        {"at_m": [3, 0, 1.6], "aim": "pear", "beam_deg": 6.0, "field_deg": 10.0, "kelvin": 3200},
        {"aim": [0.0, 0.0, 2.0], "lumens": 800.0, "colour": "#ff8800"},
        {"file": "quince-spot.ies"},
    ],
    "eye": {"at_m": [0.0, -2.8, 1.2], "fov_deg": 75},
    "optics": {"bounces": 3},
    "workshop": {"hands": 3, "glass_g_cm3": 2.6, "cord_m": 1.2},
}

KEYS = sorted(
    {"do", "sides", "count", "base", "steps", "by", "height_m", "rpm", "kind", "aim", "x", ""}
    | set(SceneFile.model_fields)
    | {key for table in (BallTable, EyeTable, LampTable, DomeTable, TileTable)
       for key in table.model_fields}
)  # fmt: skip
WORDS = ["dome", "cube", "prism", "rings", "geodesic", "raise", "open", "face", "pear", "#000000"]
NUMBERS = [0, -1, 1, 10**400, -(10**400), float("nan"), float("inf"), 1e308, 5e-324, True]

scalars = (
    st.sampled_from([*WORDS, *NUMBERS])
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=20)
    | st.dates()
    | st.times()
    | st.datetimes()
)
keys = st.sampled_from(KEYS) | st.text(max_size=8)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=5),
    max_leaves=20,
)


def read_or_explained(tables: dict[str, Any]) -> SceneFile | None:
    try:
        scene = scene_of(tables, "apples.toml")
    except SceneError as error:
        lines = str(error).split("\n")
        assert len(lines) == len(error.problems) + (error.more > 0)
        assert all(line.startswith("apples.toml: ") and line.isprintable() for line in lines)
        return None
    assert all_there(scene)
    return scene


def all_there(scene: SceneFile) -> bool:
    """No default that depends on other tables is left open."""
    balls = [(ball.name, ball.hang.height_m, ball.hang.by) for ball in scene.ball]
    lamps = [(lamp.name, lamp.at_m, lamp.aim, lamp.field_deg) for lamp in scene.lamp]
    sources = [
        sum(value is not None for value in (lamp.peak_cd, lamp.lumens, lamp.file)) == 1
        and (lamp.kelvin is None) != (lamp.colour is None)
        for lamp in scene.lamp
    ]
    rest = (scene.room.rise_m, scene.eye.at_m, scene.eye.look_m)
    return None not in (*rest, *(v for row in (*balls, *lamps) for v in row)) and all(sources)


def places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every path of nested tables and lists but the empty one."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found: list[tuple[str | int, ...]] = []
    for key, below in inner:
        found.append((*path, key))
        if isinstance(below, dict | list):
            found += places(below, (*path, key))
    return found


@st.composite
def mutations(draw: st.DrawFn) -> dict[str, Any]:
    """The good scene with up to three things in it put out, put in, or put wrong."""
    scene = copy.deepcopy(GOOD)
    for _ in range(draw(st.integers(0, 3))):
        *parents, last = draw(st.sampled_from(places(scene)))
        table: Any = scene
        for part in parents:
            table = table[part]
        change = draw(st.sampled_from(["drop", "change", "add", "double"]))
        if change == "drop":
            del table[last]
        elif change == "change":
            table[last] = draw(values)
        elif isinstance(table, dict):
            table[draw(keys)] = draw(values)
        else:
            table.append(table[last] if change == "double" else draw(values))
        if not scene:
            break
    return scene


def test_the_good_scene_is_read():
    assert read_or_explained(copy.deepcopy(GOOD)) is not None


@settings(max_examples=400, deadline=None)
@given(mutations())
def test_a_scene_with_something_wrong_is_explained(tables):
    read_or_explained(tables)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(keys, values, max_size=6))
def test_any_tables_are_explained(tables):
    read_or_explained(tables)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200) | st.text(alphabet="[]{}=\"'.#\\\n ab1-:TZ_\ufeff", max_size=80))
def test_any_bytes_are_explained(content):
    data = content.encode() if isinstance(content, str) else content
    try:
        tables = parse(data, "apples.toml")
    except SceneError as error:
        assert str(error).startswith("apples.toml: ") and str(error).isprintable()
    else:
        read_or_explained(tables)
