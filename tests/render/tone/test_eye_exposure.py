"""The long shoulder of views with a lamp in them."""

from __future__ import annotations

import numpy as np
import pytest

from glint.render.tone.mapping import drawn_together, picture_value, srgb_code, to_picture


def test_the_long_shoulder_draws_highlights_together_and_leaves_the_rest():
    light = np.geomspace(1e-4, 3000.0, 4000)
    # Slope one up to the knee, then ever less, and never down.
    held = drawn_together(light)
    slopes = np.diff(held) / np.diff(light)
    assert held[light <= 0.5] == pytest.approx(light[light <= 0.5])
    assert (np.diff(slopes[light[1:] > 0.5]) < 1e-9).all() and slopes.min() > 0.0
    grey = np.repeat(light[None, :, None], 3, axis=2)
    codes = to_picture(grey, 1.0, shoulder=True)[0, :, 0]
    expected = srgb_code(picture_value(held))
    assert np.abs(codes - expected).max() <= 1.01
    assert to_picture(grey, 1.0)[0, 3200, 0] > codes[3200]
