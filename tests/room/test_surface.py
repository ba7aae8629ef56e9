"""How large the maps of surfaces are."""

from __future__ import annotations

import numpy as np
import pytest

from glint.room.surface import EAST, MOST, Surface

UP = np.array([0.0, 0.0, 1.0])


@pytest.mark.parametrize("height", [0.4, 3.0, 90.0, 4000.0])
@pytest.mark.parametrize("kind", ["cylinder", "flat"])
def test_a_chimneys_walls_find_room_in_memory(kind: str, height: float) -> None:
    grey = np.full(3, 0.5)
    wall = Surface("wall", kind, np.zeros(3), 0.5, height, grey, across=EAST, up=UP, span=1.0)
    rows, columns = wall.size(256)
    _, across, _, down = np.abs(wall.place(256))
    assert rows * columns <= 1.1 * MOST * 256**2
    wide = across * 0.5 if kind == "cylinder" else across
    assert rows * columns * wide * down == pytest.approx(wall.area)
    if height < 100.0:
        assert wide == pytest.approx(down, rel=0.03)  # square still
    if height < 2.0:
        assert columns == (512 if kind == "cylinder" else 256)
