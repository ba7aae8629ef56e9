"""The benchmark's own arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.bench.figures import Figure, median_seconds, spread, table


def test_a_figure_holds_its_bar_from_the_right_side():
    assert Figure("speed", 1000.0, "x", 1000.0, least=True).holds
    assert not Figure("speed", 999.9, "x", 1000.0, least=True).holds
    assert Figure("time", 1.5, "", 1.5).holds
    assert not Figure("time", 1.51, "", 1.5).holds
    assert Figure("told", 3.0, "s").holds is None
    assert not Figure("lost", math.nan, "s", 1.0).holds
    assert not Figure("lost", math.nan, "s", 1.0, least=True).holds


def test_the_median_leaves_out_warm_up_and_a_hiccough(monkeypatch):
    clock = [0.0]
    lengths = iter([30.0, 1.0, 2.0, 90.0])
    monkeypatch.setattr("tests.bench.figures.time.perf_counter", lambda: clock[0])

    def work():
        clock[0] += next(lengths)

    assert median_seconds(work, repeats=3, before=1) == 2.0


def test_spread_is_the_largest_over_the_smallest():
    assert spread([2.0, 3.0, 2.5]) == 1.5


def test_the_table_says_what_missed():
    shown = table([Figure("a", 1234.5, "x", 2000.0, least=True), Figure("b", 0.25, "s", 1.0)])
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in shown.splitlines()]
    assert rows[2] == ["a", "1,234 x", "≥ 2,000 x", "**no**", ""]
    assert rows[3] == ["b", "0.25 s", "≤ 1 s", "yes", ""]
    assert all(len(row) == len(rows[0]) for row in rows)


@pytest.mark.parametrize("name", ["light-map", "stand-in", "error", "per-tile", "loop", "still"])
def test_every_row_can_be_had_by_its_name(name):
    from tests.bench.__main__ import ROWS

    assert callable(ROWS[name])


def test_the_floor_is_what_two_noisy_maps_share():
    from tests.bench.light_map import floor_of

    random = np.random.default_rng(3)
    reference = 1 + random.random((300, 300))
    noise = [1 + 0.05 * random.normal(size=reference.shape) for _ in range(2)]
    wrong = 1 + 0.02 * random.choice([-1, 1], size=reference.shape)
    maps = [reference * wrong * each for each in noise]
    assert floor_of(*maps, reference) == pytest.approx(0.02, abs=1e-3)
    assert floor_of(*(reference * each for each in noise), reference) < 0.006
