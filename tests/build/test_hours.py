"""Times, by arithmetic."""

from __future__ import annotations

import pytest

from glint.build.hours import hours, with_spares
from glint.schema.tables import WorkshopTable


def test_the_hours_of_three_hundred_tiles():
    bench = WorkshopTable(tile_s=36, joint_s=72, hands=2, evening_h=1, panel_min=10, machine_h=8)
    time = hours(tiles=300, joints=450, panels=315, workshop=bench)
    assert time.gluing == pytest.approx(1.5)  # 300 x 36 s between two
    assert time.joining == pytest.approx(4.5)
    assert time.evenings == 2 + 5  # joining waits for another evening
    assert (time.printing, time.printing_days) == (pytest.approx(52.5), 7)
    assert time.join_after == pytest.approx(1.5 + 24)
    assert time.move_after == pytest.approx(1.5 + 24 + 4.5 + 24)
    assert time.hang_after == pytest.approx(1.5 + 24 + 4.5 + 72)


def test_more_machines_print_in_fewer_days():
    bench = WorkshopTable(panel_min=60, machine_h=10, machines=3)
    assert hours(10, 10, 60, bench).printing_days == 2


@pytest.mark.parametrize(
    ("count", "percent", "wanted"),
    [(60, 5, 63), (61, 5, 65), (20, 0, 20), (1, 5, 2), (100, 7, 107)],
)
def test_spares_are_rounded_up(count, percent, wanted):
    assert with_spares(count, percent) == wanted
