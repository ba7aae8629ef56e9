"""How far the wind pushes a ball aside on its cord."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from glint.build.hanging import Hanging
from glint.build.silhouette import silhouette
from glint.shape.body import Body

AIR = 1.225
"""kg/m³: dry air at sea level and 15 °C (ISO 2533:1975, standard atmosphere)."""

SPHERE, BLUFF, CUP = 0.47, 1.05, 1.42
"""Drag coefficients: of a sphere below the speed at which its wake narrows, of a cube face on, and
of a hollow hemisphere open to the wind (Hoerner, Fluid-Dynamic Drag, 1965, chapter 3; from
memory). A body of panels counts as the cube, with an opening as the hemisphere: each is the most
of its kind."""

BEAUFORT = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""m/s at which forces 1 to 12 begin (WMO-No. 306, code table 1100; from memory)."""

FORCES = (
    "calm",
    "light air",
    "light breeze",
    "gentle breeze",
    "moderate breeze",
    "fresh breeze",
    "strong breeze",
    "near gale",
    "gale",
    "strong gale",
    "storm",
    "violent storm",
    "hurricane",
)

TAKE_DOWN = 5
"""Beaufort force at which light things that hang outdoors come down (common practice)."""


class Lean(NamedTuple):
    """speed: of the wind, m/s; angle: by which the cord leans in steady wind, rad; reach: how far
    from the vertical line under its hook the ball then comes, m; gust: how far when that wind comes
    all at once, m.
    """

    speed: float
    angle: float
    reach: float
    gust: float


class Wind(NamedTuple):
    """drag: its coefficient; mean, largest: silhouettes, m², of which the largest is pushed;
    leans: one a speed.
    """

    drag: float
    mean: float
    largest: float
    leans: tuple[Lean, ...]


def wind(body: Body, hanging: Hanging, speeds: Sequence[float]) -> Wind:
    """The lean of a ball in steady wind of some speeds, m/s, out in the open."""
    seen = silhouette(body)
    drag = SPHERE if body.base == "rings" else BLUFF if body.closed else CUP
    length = hanging.cord + hanging.hold.height
    leans = []
    for speed in speeds:
        push = 0.5 * AIR * speed**2 * drag * seen.largest
        angle = lean_of(push, hanging.pull)
        # A steady push that comes at once turns the way down by the angle, and the ball swings
        # about that as far to the other side; level with the hook it is furthest out.
        gust = math.sin(min(2.0 * angle, 0.5 * math.pi))
        reach, far = (length * share + body.radius for share in (math.sin(angle), gust))
        leans.append(Lean(speed, angle, reach, far))
    return Wind(drag, seen.mean, seen.largest, tuple(leans))


def lean_of(push: float, weight: float) -> float:
    """Angle of a cord with the vertical, rad, at whose end act a level push and a weight, both N.

    The cord has no weight and no drag of its own; it is the direction of both forces' sum.
    """
    return math.atan2(push, weight)


def beaufort(speed: float) -> int:
    """The Beaufort force of a wind speed, m/s."""
    return sum(speed >= least for least in BEAUFORT)
