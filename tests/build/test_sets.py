"""The integer programme against trying every set."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.build.sets import AIMS, best_sets
from glint.build.stock import candidates

ENTRIES = candidates()
FIGURES = [(7 * place + 3) % 23 for place in range(len(ENTRIES))]


def every_set(entries, usable, most_balls):
    """How often each shape is built, in every way that the stock and the limit allow."""
    ranges = []
    for entry in entries:
        limits = [
            have // need
            for have, need in zip(usable, (entry.triangles, entry.squares), strict=True)
            if need
        ]
        ranges.append(range(min(*limits, most_balls) + 1))
    for times in itertools.product(*ranges):
        taken = taken_by(entries, times)
        if 0 < sum(times) <= most_balls and taken[0] <= usable[0] and taken[1] <= usable[1]:
            yield times


def taken_by(entries, times):
    return (
        sum(entry.triangles * n for entry, n in zip(entries, times, strict=True)),
        sum(entry.squares * n for entry, n in zip(entries, times, strict=True)),
    )


def rank(entries, figures, aim, times):
    """What is compared, first things first: the aim, tiles, few balls, the first shapes."""
    value = {
        "tiles": sum(taken_by(entries, times)),
        "balls": sum(times),
        "different": sum(n > 0 for n in times),
        "spots": sum(f * n for f, n in zip(figures, times, strict=True)),
    }[aim]
    return value, sum(taken_by(entries, times)), -sum(times), times


@settings(max_examples=40, deadline=None)
@given(
    places=st.lists(st.integers(0, 20), min_size=2, max_size=5, unique=True).map(sorted),
    usable=st.tuples(st.integers(0, 44), st.integers(0, 14)),
    aim=st.sampled_from(AIMS),
    most_balls=st.integers(1, 7),
)
def test_the_best_sets_are_those_found_by_trying_all(places, usable, aim, most_balls):
    compare_with_all(places, usable, aim, most_balls)


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("most_balls", [1, 2, 3])
def test_the_limit_on_balls_is_that_of_the_whole_set(aim, most_balls):
    """A tetrahedron, a raised one, a cube and an octahedron, of a stock that makes many of each."""
    compare_with_all([0, 1, 6, 9], (44, 14), aim, most_balls)


def compare_with_all(places, usable, aim, most_balls):
    entries = [ENTRIES[place] for place in places]
    figures = [FIGURES[place] for place in places]
    sets = [
        times
        for times in every_set(entries, usable, most_balls)
        if aim != "different" or max(times) == 1  # a second one of a kind is no other kind
    ]
    expected = []
    while sets and len(expected) < 3:
        best = max(sets, key=lambda times: rank(entries, figures, aim, times))
        expected.append(best)
        kinds = [n > 0 for n in best]
        sets = [times for times in sets if [n > 0 for n in times] != kinds]
    found = best_sets(entries, usable, aim, figures, most_balls, count=3)
    assert [choice.shapes for choice in found] == [
        tuple((entry, n) for entry, n in zip(entries, times, strict=True) if n)
        for times in expected
    ]
    for choice, times in zip(found, expected, strict=True):
        assert choice.value == rank(entries, figures, aim, times)[0]
        taken = taken_by(entries, times)
        left = choice.triangles_left, choice.squares_left
        assert left == (usable[0] - taken[0], usable[1] - taken[1])


def test_a_greedy_choice_is_not_taken_for_the_best():
    # The largest shape of 30 triangles is one of 24, which leaves 6 that make a tetrahedron and
    # two over; 20 and 8 leave two as well, but 12 + 14 + 4 use all.
    entries = [e for e in ENTRIES if not e.squares and e.triangles in (4, 12, 14, 20, 24)]
    best = best_sets(entries, (30, 0), "tiles")[0]
    assert best.value == 30 and best.triangles_left == 0


def test_the_answer_is_the_same_every_time():
    once = best_sets(ENTRIES, (100, 30), "tiles", count=3)
    assert once == best_sets(ENTRIES, (100, 30), "tiles", count=3)
    assert [choice.value for choice in once] == [130, 130, 130]


def test_a_set_is_one_that_somebody_would_build():
    """Six balls of at least 20 tiles, unless it is said otherwise."""
    entries = [e for e in ENTRIES if e.triangles + e.squares >= 20]
    for aim in AIMS:
        for choice in best_sets(entries, (640, 90), aim, [1] * len(entries), count=3):
            assert sum(n for _, n in choice.shapes) <= 6
    assert best_sets(entries, (640, 90), "balls", count=1)[0].value == 6
    assert best_sets(entries, (640, 90), "balls", most_balls=9)[0].value == 9


def test_nothing_is_made_of_nothing():
    assert best_sets(ENTRIES, (3, 2), "tiles") == []


def test_spots_need_their_figures():
    with pytest.raises(TypeError, match="spots of each shape"):
        best_sets(ENTRIES, (100, 30), "spots")
