"""Which exposure a picture is given, in each of the cases that decide it."""

from __future__ import annotations

import numpy as np
import pytest

from glint.render.tone.eye_exposure import BRIGHTEST, MIDDLE, eye_exposure
from glint.render.tone.mapping import BRIGHT, DARKEST, LIGHTEST_AMBIENT, MOST_LIFT, auto_exposure


def room(ambient, spots, share=0.3):
    """A thousand grey pixels: a room, and spots of one brightness over a share of it."""
    light = np.full(1000, float(ambient))
    light[: round(1000 * share)] = spots
    return np.repeat(light[:, None], 3, axis=1)


@pytest.mark.parametrize(
    "ambient, spots, scale",
    [
        # Spots come to the shoulder; the ambient lies between its two bounds there by itself.
        (1.0, 50.0, BRIGHT / 50.0),
        # Brighter spots would drown the ambient in black: it is lifted, but only so far.
        (1.0, 200.0, DARKEST),
        (1.0, 1e4, MOST_LIFT * BRIGHT / 1e4),
        # In a bright room it is lowered, and so where nothing is lit.
        (1.0, 5.0, LIGHTEST_AMBIENT),
        (1.0, 1.0, LIGHTEST_AMBIENT),
    ],
)
def test_the_exposure_of_a_map(ambient, spots, scale):
    assert auto_exposure(room(ambient, spots)) == pytest.approx(scale)
    # Of light in another unit as much more or less.
    assert auto_exposure(20.0 * room(ambient, spots)) == pytest.approx(scale / 20.0)


@pytest.mark.parametrize(
    "spots, share, scale",
    [
        (10.0, 0.3, MIDDLE),
        (1e3, 0.005, MIDDLE),  # too few to count
        (1e3, 0.3, BRIGHTEST / 1e3),
    ],
)
def test_the_exposure_of_an_eyes_view(spots, share, scale):
    assert eye_exposure(room(1.0, spots, share)) == pytest.approx(scale)


def test_without_light_any_exposure_will_do():
    assert auto_exposure(np.zeros((9, 3))) == eye_exposure(np.zeros((9, 3))) == 1.0
