"""How large the maps of surfaces are."""

from __future__ import annotations

import numpy as np
import pytest

from glint.room.surface import MOST, Surface
from glint.room.surfaces.rectangle import Rectangle
from glint.room.surfaces.revolution import Revolution

EAST, _, UP = np.eye(3)


@pytest.mark.parametrize("height", [0.4, 3.0, 90.0, 4000.0])
@pytest.mark.parametrize("kind", ["round", "flat"])
def test_a_chimneys_walls_find_room_in_memory(kind: str, height: float) -> None:
    grey = np.full(3, 0.5)
    wall: Surface = Revolution(name="wall", reflectance=grey, r0=0.5, z0=0.0, r1=0.5, z1=height)
    if kind == "flat":
        sides = {"centre": np.zeros(3), "width": 1.0, "height": height, "across": EAST, "up": UP}
        wall = Rectangle(name="wall", reflectance=grey, span=1.0, **sides)
    rows, columns = wall.size(256)
    _, across, _, down = np.abs(wall.place(256))
    assert rows * columns <= 1.1 * MOST * 256**2
    wide = across * 0.5 if kind == "round" else across
    assert rows * columns * wide * down == pytest.approx(wall.area)
    if height < 100.0:
        assert wide == pytest.approx(down, rel=0.03)  # square still
    if height < 2.0:
        assert columns == (512 if kind == "round" else 256)
