"""How long it takes: gluing, joining, curing and printing."""

from __future__ import annotations

import math
from typing import NamedTuple

from glint.schema.tables import WorkshopTable


class Hours(NamedTuple):
    """Hours, and days counted from the start of gluing.

    gluing: tiles onto panels; joining: panels to each other; printing: of all panels, spares too,
    on one machine after another; evenings: for gluing, and others for joining; printing_days.
    join_after, move_after, hang_after: hours from the start of gluing, if all hands work through:
    when the first panels may be joined, the finished ball be handled, and the ball be hung.
    """

    gluing: float
    joining: float
    printing: float
    evenings: int
    printing_days: int
    join_after: float
    move_after: float
    hang_after: float


def hours(tiles: int, joints: int, panels: int, workshop: WorkshopTable) -> Hours:
    """The time for so many tiles, joints and printed panels."""
    gluing = tiles * workshop.tile_s / 3600 / workshop.hands
    joining = joints * workshop.joint_s / 3600 / workshop.hands
    printing = panels * workshop.panel_min / 60
    a_day = workshop.machine_h * workshop.machines
    # No panel is picked up before the last tile glued can be handled.
    join_after = gluing + workshop.handling_h
    joined = join_after + joining
    return Hours(
        gluing=gluing,
        joining=joining,
        printing=printing,
        evenings=sum(math.ceil(work / workshop.evening_h) for work in (gluing, joining)),
        printing_days=math.ceil(printing / a_day),
        join_after=join_after,
        move_after=joined + (workshop.handling_h if joints else 0.0),
        hang_after=max(joined, gluing) + workshop.full_cure_h,
    )


def with_spares(count: int, percent: float) -> int:
    """So many, and so many percent more for breakage, rounded up."""
    return math.ceil(count * (1 + percent / 100) - 1e-9)
