"""The benchmark's own arithmetic. No test here is timed: clocks are made up."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.bench import figures
from tests.bench.command import ROOT
from tests.bench.figures import Figure, Race, in_turn, markdown, median_seconds, spread, table
from tests.bench.quote import quoted


def _cells(shown: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")[1:-1]] for line in shown.splitlines()]


def test_a_figure_is_the_median_of_its_repeats():
    assert Figure("odd", (9.0, 1.0, 2.0), "s").value == 2.0
    assert Figure("even", (9.0, 1.0, 2.0, 4.0), "s").value == 3.0
    assert math.isnan(Figure("lost", (1.0, math.nan, 2.0), "s").value)


def test_a_figure_holds_its_bar_from_the_right_side():
    assert Figure("speed", (1000.0,), "x", 1000.0, least=True).holds
    assert not Figure("speed", (999.9,), "x", 1000.0, least=True).holds
    assert Figure("time", (1.5,), "", 1.5).holds
    assert not Figure("time", (1.51,), "", 1.5).holds
    assert Figure("told", (3.0,), "s").holds is None
    assert not Figure("lost", (math.nan,), "s", 1.0).holds
    assert not Figure("lost", (math.nan,), "s", 1.0, least=True).holds


def test_one_lucky_repeat_does_not_hold_a_bar():
    assert not Figure("speed", (1200.0, 900.0, 950.0), "x", 1000.0, least=True).holds


def test_ratios_are_taken_pair_by_pair():
    race = Race((1.0, 4.0, 2.0), (2.0, 2.0, 8.0))
    assert race.over == (0.5, 2.0, 0.25)
    assert race.faster == (2.0, 0.5, 4.0)
    # Not the ratio of the medians, which is 1.
    assert Figure("ratio", race.over, "x").value == 0.5


def test_ours_and_the_peer_run_in_turn_and_take_turns_at_being_first():
    log: list[str] = []

    def one(name: str, seconds: float):
        def work() -> float:
            log.append(name)
            return seconds

        return work

    race = in_turn(one("ours", 2.0), one("peer", 3.0), 3)
    assert log == ["ours", "peer", "peer", "ours", "ours", "peer"]
    assert race == Race((2.0, 2.0, 2.0), (3.0, 3.0, 3.0))


def test_the_median_leaves_out_warm_up_and_a_hiccough(monkeypatch):
    clock = [0.0]
    lengths = iter([30.0, 1.0, 2.0, 90.0])
    monkeypatch.setattr("tests.bench.figures.time.perf_counter", lambda: clock[0])

    def work():
        clock[0] += next(lengths)

    assert median_seconds(work, repeats=3, before=1) == 2.0


def test_spread_is_the_largest_over_the_smallest():
    assert spread([2.0, 3.0, 2.5]) == 1.5


def test_the_table_says_what_was_held_and_what_missed():
    shown = [
        Figure("a", (1300.0, 1234.5, 900.0), "x", 2000.0, least=True),
        Figure("b", (0.25,), "s", 1.0, note="n"),
        Figure("c", (2.0, 4.0), ""),
    ]
    rows = _cells(table(shown))
    assert rows[0] == list(figures.HEADINGS)
    assert set(rows[1]) == {"---"}
    assert rows[2] == ["a", "1,234 x", "900 to 1,300", "3", "≥ 2,000 x", "**missed**", ""]
    assert rows[3] == ["b", "0.25 s", "", "1", "≤ 1 s", "held", "n"]
    assert rows[4] == ["c", "3", "2 to 4", "2", "", "", ""]
    assert {len(row) for row in rows} == {len(figures.HEADINGS)}


def test_what_has_a_bar_stands_before_what_is_only_told():
    from tests.bench.__main__ import report

    shown = [Figure("told", (1.0,), "s"), Figure("barred", (2.0,), "s", 1.0)]
    text = report("a machine", shown, False)
    assert text.startswith("a machine\n")
    first, second = text.split("Only told:")
    assert "barred" in first and "told |" not in first
    assert "told |" in second and "barred" not in second
    assert "Only told:" not in report("a machine", shown[1:], False)


def test_a_quick_table_asks_no_bar():
    rows = _cells(table([Figure("a", (3.0,), "s", 1.0), Figure("b", (1.0,), "s")], quick=True))
    assert [row[5] for row in rows[2:]] == ["not asked", ""]


def test_a_bar_in_a_cell_does_not_end_it():
    assert _cells(markdown(("a", "b"), [("1|2", "3")]))[2] == ["1/2", "3"]


def test_every_row_yields_figures_by_its_name():
    from tests.bench.__main__ import ROWS

    wanted = {"still", "light-map", "stand-in", "spiked", "error", "per-tile", "loop", "eye-loop"}
    assert wanted <= set(ROWS) and all(map(callable, ROWS.values()))


def test_the_floor_is_what_two_noisy_maps_share():
    from tests.bench.light_map import floor_of

    random = np.random.default_rng(3)
    reference = 1 + random.random((300, 300))
    noise = [1 + 0.05 * random.normal(size=reference.shape) for _ in range(2)]
    wrong = 1 + 0.02 * random.choice([-1, 1], size=reference.shape)
    first, second = (reference * each for each in noise)
    assert floor_of(first * wrong, second * wrong, reference) == pytest.approx(0.02, abs=1e-3)
    assert floor_of(first, second, reference) < 0.006


def test_growth_is_the_power_over_the_right_half():
    from tests.bench.scaling import Line, growth

    # Flat at first, then with the square.
    seconds = tuple((value, value, 9.0 * value) for value in (1.0, 1.0, 1.0, 4.0, 16.0))
    assert growth(Line("a", (1, 2, 4, 8, 16), seconds)) == pytest.approx(2.0)
    assert growth(Line("b", (1, 2), ((2.0,), (1.0,)))) == pytest.approx(-1.0)


def test_sizes_are_gone_through_in_turn():
    from tests.bench.scaling import turns

    log: list[int] = []

    def seconds(place: int) -> float:
        log.append(place)
        return float(len(log))

    assert turns(seconds, (7, 8), 3) == ((1.0, 3.0, 5.0), (2.0, 4.0, 6.0))
    assert log == [7, 8, 7, 8, 7, 8]


def test_labels_move_apart_in_their_order():
    from tests.bench.plots import apart

    assert apart([1.0, 0.5, 0.52], 0.1) == pytest.approx([1.0, 0.5, 0.6])
    assert apart([0.2, 0.9], 0.1) == [0.2, 0.9]


def test_the_machine_tells_the_processor_as_it_calls_itself(tmp_path):
    from tests.bench.machine import machine, processor

    told = tmp_path / "cpuinfo"
    told.write_text("processor\t: 0\nmodel name\t: A  Made-Up Processor\nflags\t: x\n")
    assert processor(told) == "A Made-Up Processor"
    assert processor(tmp_path / "nothing")
    assert "numba" in machine() and "embreex" in machine() and "cores" in machine()


def test_a_quote_takes_the_place_of_the_one_before():
    text = "before\n<!-- bench -->\nold\n\nold too\n<!-- /bench -->\nafter\n"
    once = quoted(text, "bench", "new \\1")
    assert once == "before\n<!-- bench -->\nnew \\1\n<!-- /bench -->\nafter\n"
    assert quoted(once, "bench", "new \\1") == once


@pytest.mark.parametrize(
    "text",
    ["", "<!-- bench -->", "<!-- /bench --> <!-- bench -->", 2 * "<!-- bench --><!-- /bench -->"],
)
def test_a_quote_without_its_one_place_is_refused(text):
    with pytest.raises(ValueError, match="bench"):
        quoted(text, "bench", "new")


@pytest.mark.parametrize("place", ["bench", "profile"])
def test_the_document_has_a_place_for_each_quote(place):
    quoted((ROOT / "shared" / "docs" / "benchmarks.md").read_text(), place, "")
