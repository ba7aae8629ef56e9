"""Weight, hours and size of the catalogue's shapes, against counting by hand."""

from __future__ import annotations

import pytest

from glint.build.effort import Effort, effort, together
from glint.build.stock import candidates
from glint.shape.tables import TileTable, WorkshopTable

(CUBE,) = (entry for entry in candidates() if entry.name == "cube")


def test_a_cube_counted_by_hand():
    tile = TileTable(edge_mm=20.0, panel_edge_mm=30.0, thickness_mm=1.0)
    bare = WorkshopTable(
        glass_g_cm3=2.0, panel_g_cm3=0.01, glue_film_mm=0.0, seam_bead_mm2=0.0, tile_s=60.0
    )
    one = effort(CUBE, tile, bare)
    # Six tiles of 20 x 20 x 1 mm, and panels that weigh next to nothing.
    assert one.kg == pytest.approx(6 * 0.4 * 2.0 / 1000, rel=0.05)
    # Six tiles at a minute each, and twelve joints at the workshop's own minute.
    assert one.gluing_h == pytest.approx(18 / 60)
    assert one.diameter == pytest.approx(0.03 * 3**0.5)
    two = bare.model_copy(update={"hands": 2})
    assert effort(CUBE, tile, two).gluing_h == pytest.approx(9 / 60)


def test_a_set_adds_up_and_is_as_large_as_its_largest():
    parts = [(Effort(1.0, 2.0, 0.3), 2), (Effort(0.5, 1.0, 0.5), 1)]
    assert together(parts) == Effort(2.5, 5.0, 0.5)
