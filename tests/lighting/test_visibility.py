"""What counts as visible: bright enough for the ambient, and on something that light falls on."""

from __future__ import annotations

import numpy as np
import pytest

from glint.lighting.spots import Spots
from glint.lighting.visibility import DARKEST, least_lux, visible
from tests.analysis.scenes import evening


def spots(peaks, points=None):
    """Spots of these peaks, lx, on the room's first surface."""
    count = len(peaks)
    ones, whole = np.ones(count), np.zeros(count, np.int64)
    points = np.tile([0.0, 0.0, 3.0], (count, 1)) if points is None else np.array(points)
    return Spots(
        whole[:, None], whole, whole, points, ones, np.array(peaks), ones, np.zeros((count, 3))
    )


@pytest.mark.parametrize(("tables", "contrast"), [({}, 0.2), ({"visible_contrast": 1.5}, 1.5)])
def test_a_peak_counts_from_the_contrast_times_the_ambient_on(tables, contrast):
    scene, ambient = evening(**tables), 0.5
    least = contrast * ambient
    assert least_lux(scene, ambient) == pytest.approx(least, rel=1e-12)
    seen = visible(scene, spots([0.999 * least, least_lux(scene, ambient), 1.001 * least]), ambient)
    assert seen.peak.tolist() == [least_lux(scene, ambient), 1.001 * least]


def test_in_a_room_without_any_light_the_least_glimmer_counts():
    scene = evening()
    assert least_lux(scene, 0.0) == DARKEST
    assert len(visible(scene, spots([0.0, 1e-9]), 0.0).peak) == 1
