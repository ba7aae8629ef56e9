"""The search: a scene whose answer is known, limits that hold, and files that are rewritten."""

from __future__ import annotations

import math

import pytest

from glint.errors import SceneError, UsageError
from glint.parallel.executors import Workers
from glint.report.landscape import draw_landscape
from glint.scene.cache import SharedCache
from glint.scene.scene import Scene
from glint.schema.read import parse, scene_of
from glint.schema.tables import GoalTable
from glint.search import optimize as search
from glint.search.fast_measures import Glance, glance
from glint.search.objective import broken, score
from glint.search.obstacles import at_its_limits, lowest, obstacle
from glint.search.optimize import place
from glint.search.rewrite import rewritten
from glint.search.variables import bounds_of, chosen, values_of

TEXT = """\
# A lamp that looks past the ball.
[room]
radius_m = 3.0
[[ball]]
name = "star"  # hangs in the middle
shape = { base = "snub cube" }
hang = { height_m = 1.5 }
[[lamp]]
name = "torch"
at_m = [2.0, 0.0, 1.5]
aim = [0.0, 1.3, 1.5]
beam_deg = 4.0
[[free]]
lamp = "torch"
key = "aim_y_m"
least = -1.5
most = 1.5
[goal]
evenness = 0.0
"""


def seen(**values):
    rest = dict.fromkeys(Glance._fields, 1.0) | {"tiles": 60, "problem": ""}
    return Glance(**(rest | values))


def test_the_lamp_is_turned_to_the_ball_which_makes_most_spots(monkeypatch):
    """A narrow lamp makes spots only where it meets the ball, at y = 0: half the light's reach to
    either side is what is left of the range."""
    monkeypatch.setattr("glint.search.fast_measures.POSES", 6)
    monkeypatch.setattr("glint.search.optimize.ACROSS", 5)
    monkeypatch.setattr("glint.search.optimize.FINE", 7)
    file = scene_of(parse(TEXT.encode(), "a.toml"))
    found = place(file, tries=40)
    assert found.names == ("torch aim_y_m",)
    assert found.start == (1.3,)
    assert found.glances[0].spots == 0.0
    assert found.glances[1].spots >= 12  # nearly half of its 38 tiles face the lamp
    assert abs(found.best[0]) < 0.25
    middle = glance(chosen(file, [0.0]))
    assert found.glances[1].spots >= 0.98 * middle.spots
    assert found.scores[1] > found.scores[0]
    assert found.landscape.shape == (search.ACROSS,)
    assert found.landscape.max() <= found.scores[1] + 1e-9
    again = place(file, tries=40)
    assert (again.best, again.scores) == (found.best, found.scores)


def test_the_start_is_one_and_limits_cost():
    goal = GoalTable(spots=1.0, evenness=1.0, speed_at_most_m_s=2.0, peak_at_least_lux=0.5)
    start = seen(spots=40.0, unevenness=2.0)
    assert score(goal, start, start) == pytest.approx(1.0)
    assert score(goal, seen(spots=80.0, unevenness=1.0), start) == pytest.approx(2.0)
    fast = seen(spots=80.0, unevenness=1.0, speed=3.0)
    assert broken(goal, fast) == pytest.approx({"speed_at_most_m_s": 0.5})
    assert score(goal, fast, start) == pytest.approx(2.0 - 10.0)
    assert broken(goal, seen(peak=0.25)) == pytest.approx({"peak_at_least_lux": 0.5})
    assert score(goal, seen(problem="too wide"), start) < score(goal, fast, start)
    assert score(goal, seen(spots=0.0, unevenness=math.nan), start) == 0.0


@pytest.mark.parametrize(
    "limit, figure",
    [
        ("speed_at_most_m_s", "speed"),
        ("passes_at_most_per_s", "passes"),
        ("peak_at_most_lux", "peak"),
        ("tiles_at_most", "tiles"),
    ],
)
def test_each_limit_holds_its_own_figure(limit, figure):
    goal = GoalTable(**{limit: 60})
    within = dict.fromkeys(("speed", "passes", "peak", "tiles"), 60)
    assert broken(goal, seen(**within)) == {}
    assert broken(goal, seen(**within | {figure: 90})) == pytest.approx({limit: 0.5})


def test_free_numbers_are_read_and_put_in_their_place():
    tables = parse(TEXT.encode(), "a.toml")
    tables["free"] = [
        {"ball": "star", "key": "height_m", "least": 1.0, "most": 2.0},
        {"ball": "star", "key": "x_m", "least": -1.0, "most": 1.0},
        {"ball": "star", "key": "rpm", "least": 1.0, "most": 3.0},
        {"lamp": "torch", "key": "z_m", "least": 0.5, "most": 2.0},
        {"lamp": "torch", "key": "beam_deg", "least": 3.0, "most": 9.0},
    ]
    file = scene_of(tables)
    assert values_of(file) == [1.5, 0.0, 1.5, 1.5, 4.0]
    assert bounds_of(file)[0] == (1.0, 2.0)
    changed = chosen(file, [1.8, 0.3, 2.5, 0.7, 8.0])
    assert changed.ball[0].hang.height_m == 1.8
    assert changed.ball[0].hang.at_m == (0.3, 0.0)
    assert changed.ball[0].motion.rpm == 2.5
    assert changed.lamp[0].at_m == (2.0, 0.0, 0.7)
    assert changed.lamp[0].field_deg == pytest.approx(2.0 * file.lamp[0].field_deg)
    written = rewritten(TEXT, file, [1.8, 0.3, 2.5, 0.7, 8.0])
    assert "# hangs in the middle" in written
    again = scene_of(parse(written.encode(), "a.toml"))
    assert (again.ball, again.lamp) == (changed.ball, changed.lamp)


@pytest.mark.parametrize(
    "free, message",
    [
        ({"ball": "stra", "key": "rpm", "least": 1, "most": 2}, 'did you mean "star"'),
        ({"ball": "star", "key": "z_m", "least": 1, "most": 2}, "of a ball"),
        ({"key": "rpm", "least": 1, "most": 2}, "neither ball nor lamp"),
        ({"ball": "star", "lamp": "torch", "key": "x_m", "least": 1, "most": 2}, "both"),
        ({"ball": "star", "key": "rpm", "least": 2, "most": 2}, "above least"),
        ({"ball": "star", "key": "weight", "least": 2, "most": 3}, "height_m"),
    ],
)
def test_a_bad_free_table_is_told_of(free, message):
    tables = parse(TEXT.encode(), "a.toml")
    tables["free"] = [free]
    with pytest.raises(SceneError, match=message):
        scene_of(tables)


def test_what_has_no_number_cannot_be_free():
    tables = parse(TEXT.encode(), "a.toml")
    tables["free"] = [{"ball": "star", "key": "diameter_m", "least": 0.2, "most": 0.4}]
    with pytest.raises(SceneError, match="diameter_m"):
        values_of(scene_of(tables))


def test_without_anything_free_there_is_nothing_to_search():
    tables = parse(TEXT.encode(), "a.toml")
    del tables["free"]
    with pytest.raises(UsageError, match="nothing is free"):
        place(scene_of(tables), Workers(1))


WIDE = [
    {"ball": "star", "key": "height_m", "least": 1.0, "most": 3.5},
    {"lamp": "torch", "key": "aim_y_m", "least": -1.5, "most": 1.5},
    {"ball": "star", "key": "x_m", "least": -3.5, "most": 3.5},
]


@pytest.mark.parametrize(
    "free, goal, tries",
    [
        (WIDE[:2], {}, 40),
        (WIDE[::2], {"spots": 0.0, "evenness": 1.0}, 40),
        (WIDE, {"cover": 1.0, "clearance_m": 1.2}, 50),
        (WIDE[1:2], {"speed_at_most_m_s": 0.2}, 15),
    ],
)
def test_the_best_is_no_worse_than_its_map_and_no_look_is_hidden(free, goal, tries, monkeypatch):
    monkeypatch.setattr("glint.search.fast_measures.POSES", 2)
    looks = []
    look = search.glance
    for module in ("optimize", "tally"):
        monkeypatch.setattr(f"glint.search.{module}.glance", lambda f: looks.append(f) or look(f))
    tables = parse(TEXT.encode(), "a.toml")
    tables["ball"][0]["hang"]["height_m"] = 2.3
    tables |= {"free": free, "goal": goal}
    found = place(scene_of(tables), Workers(1), tries=tries)
    assert found.scores[1] >= found.landscape.max()
    assert found.tried == len(looks) <= tries
    reach = {"star height_m": (1.0, 3.5), "star x_m": (-3.5, 3.5), "torch aim_y_m": (-1.5, 1.5)}
    for name, value in zip(found.names, found.best, strict=True):
        assert reach[name][0] <= value <= reach[name][1]
    if "star x_m" in found.names:
        assert (found.ruled == "outside the room").any()
    # What geometry rules out was not looked at.
    assert not any(obstacle(one, SharedCache()) for one in looks)


def test_balls_stay_above_people_and_the_bound_that_is_met_is_told(monkeypatch):
    monkeypatch.setattr("glint.search.fast_measures.POSES", 2)
    tables = parse(TEXT.encode(), "a.toml")
    tables["ball"][0]["hang"]["height_m"] = 1.2
    tables |= {"free": [WIDE[0] | {"most": 2.6}], "goal": {"clearance_m": 1.5}}
    file = scene_of(tables)
    found = place(file, Workers(1), tries=20)
    assert lowest(Scene.of(found.file).balls[0]) >= 1.5
    assert (found.ruled == "too low over people").any()
    assert at_its_limits(file, [2.6]) == ["star height_m is at its most, 2.6"]
    radius = 1.2 - lowest(Scene.of(file).balls[0])
    (line,) = at_its_limits(file, [1.5 + radius + 0.005])
    assert line == "star hangs as low as clearance_m = 1.5 lets it"
    assert at_its_limits(file, [2.2]) == []


def test_what_cannot_be_is_told_before_the_search():
    tables = parse(TEXT.encode(), "a.toml")
    tables["free"] = [{"ball": "star", "key": "height_m", "least": 1.0, "most": 1.8}]
    with pytest.raises(UsageError, match="clearance_m = 2 m"):
        place(scene_of(tables), Workers(1))
    with pytest.raises(UsageError, match="at least 15 for 1 free number"):
        place(scene_of(parse(TEXT.encode(), "a.toml")), Workers(1), tries=14)


def test_start_and_best_look_the_same_in_the_map_and_in_its_legend(tmp_path, monkeypatch):
    from matplotlib.figure import Figure

    monkeypatch.setattr("glint.search.fast_measures.POSES", 2)
    drawn = []
    save = Figure.savefig
    monkeypatch.setattr(Figure, "savefig", lambda f, *a, **k: drawn.append(f) or save(f, *a, **k))
    tables = parse(TEXT.encode(), "a.toml")
    tables["ball"][0]["hang"]["height_m"] = 2.3
    tables["free"] = WIDE[::2]
    found = place(scene_of(tables), Workers(1), tries=20)
    draw_landscape(found, tmp_path / "map.png")
    (figure,) = drawn
    marks = {line.get_label(): line for line in figure.axes[0].lines}
    legend = figure.legends[0]
    words = [text.get_text() for text in legend.get_texts()]
    assert "outside the room" in words
    for name, handle in zip(words, legend.legend_handles, strict=True):
        if name in marks:
            assert handle.get_markerfacecolor() == marks[name].get_markerfacecolor()
            assert handle.get_marker() == marks[name].get_marker()
    assert marks["start"].get_xydata().tolist() == [list(found.start)]
    assert {"start", "best"} <= set(words)
