"""The largest dark gap against a search of the whole dome."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.study.gap import largest_gap


def on_cap(rng, number, rim):
    up, turn = rng.uniform(math.cos(rim), 1.0, number), rng.uniform(0.0, 2.0 * math.pi, number)
    out = np.sqrt(1.0 - up**2)
    return np.column_stack([out * np.cos(turn), out * np.sin(turn), up])


@pytest.mark.parametrize("number", [1, 2, 3, 5, 40, 400])
@pytest.mark.parametrize("rim", [0.5, 0.5 * math.pi, 2.4])
def test_no_place_is_darker_and_the_place_named_is_as_dark(number, rim):
    rng = np.random.default_rng(number)
    spots = on_cap(rng, number, rim)
    gap, middle = largest_gap(spots, rim)
    assert middle[2] >= math.cos(rim) - 1e-9
    nearest = np.arccos(np.clip(spots @ middle, -1.0, 1.0)).min()
    assert nearest == pytest.approx(gap, abs=1e-7)
    places = np.concatenate([on_cap(rng, 40000, rim), np.array([middle])])
    edge = np.linspace(0.0, 2.0 * math.pi, 20000)
    level = np.full(edge.size, math.cos(rim))
    out = math.sin(rim)
    places = np.concatenate(
        [places, np.column_stack([out * np.cos(edge), out * np.sin(edge), level])]
    )
    searched = np.full(len(places), math.pi)
    for spot in spots:
        np.minimum(searched, np.arccos(np.clip(places @ spot, -1.0, 1.0)), out=searched)
    assert searched.max() <= gap + 1e-7


def test_spots_along_one_circle_do_not_upset_the_diagram():
    turn = np.linspace(0.0, 2.0 * math.pi, 30, endpoint=False)
    level = math.cos(0.3)
    ring = np.column_stack(
        [math.sin(0.3) * np.cos(turn), math.sin(0.3) * np.sin(turn), np.full(30, level)]
    )
    gap, _ = largest_gap(ring, 0.5)
    assert gap == pytest.approx(0.3, abs=1e-9)
    gap, _ = largest_gap(np.concatenate([ring, ring]), 1.2)
    nearest = math.acos(
        math.cos(1.2) * math.cos(0.3) + math.sin(1.2) * math.sin(0.3) * math.cos(math.pi / 30)
    )
    assert gap == pytest.approx(nearest, abs=1e-9)


def test_without_spots_there_is_no_gap_to_tell():
    assert math.isnan(largest_gap(np.zeros((0, 3)), 1.0)[0])
