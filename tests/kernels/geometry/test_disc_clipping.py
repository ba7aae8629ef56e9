"""Angles of arcs of a lens's rim, without a branch, against the standard library's."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.kernels.geometry.disc_clipping import angle_of, arcs
from glint.kernels.runtime.jit import kernel


@kernel
def angles(re, im, found):
    """`angle_of` of many, as a loop that the compiler may do several at a time."""
    for t in range(re.size):
        found[t] = angle_of(re[t], im[t])


def found_at(re, im) -> np.ndarray:
    found = np.empty(len(re))
    angles(np.asarray(re, float), np.asarray(im, float), found)
    return found


def test_angles_are_those_of_the_arc_tangent_all_around_to_the_last_bits():
    turns = np.linspace(0.0, 2 * math.pi, 40_001)[:-1]
    for size in (1e-12, 1.0, 1e9):
        re, im = size * np.cos(turns), size * np.sin(turns)
        wanted = [arcs(*each) for each in zip(re, im, strict=True)]
        assert np.abs(found_at(re, im) - wanted).max() < 3e-15


def test_axes_nothing_at_all_and_a_hair_below_the_first_axis():
    re = [1.0, 0.0, -1.0, 0.0, 0.0, 1.0, 1.0]
    im = [0.0, 2.0, 0.0, -2.0, 0.0, -1e-12, -1e-6]
    half = 0.5 * math.pi
    wanted = [0.0, half, 2 * half, 3 * half, 0.0, 0.0, 4 * half - 1e-6]
    assert found_at(re, im) == pytest.approx(wanted, abs=1e-14)
