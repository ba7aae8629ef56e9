"""How a ball hangs: where the cord takes hold, how far it tilts, how it swings, what holds it."""

from __future__ import annotations

import math
from typing import NamedTuple

from glint.scene.pendulum import GRAVITY
from glint.shape.body import Body
from glint.shape.hold import Hold, hold_of
from glint.shape.weight import Mass


class Hanging(NamedTuple):
    """hold: where the cord meets the ball; holders: how many panels bear it.
    offset: of the centre of mass from the hanging axis, m; tilt: rad, or None where the centre of
    mass lies above the hold, so that the ball would turn over; cord: m; period: of the swing, s;
    pull: on the cord, N; share: of it on each holder, N.
    """

    hold: Hold
    holders: int
    offset: float
    tilt: float | None
    cord: float
    period: float
    pull: float
    share: float


def hang(body: Body, mass: Mass, cord: float) -> Hanging:
    """The statics of a ball on one cord of this length, m, made fast where the axis leaves it."""
    hold = hold_of(body)
    holders = max(len(set(hold.panels)), 1)
    x, y, z = mass.centre
    offset = math.hypot(x, y)
    below = hold.height - float(z)
    pull = mass.total * GRAVITY
    return Hanging(
        hold=hold,
        holders=holders,
        offset=offset,
        tilt=tilt_of(offset, below),
        cord=cord,
        period=swing_period(cord + math.hypot(offset, below), mass.gyration),
        pull=pull,
        share=pull / holders,
    )


def tilt_of(offset: float, below: float) -> float | None:
    """How far a body on one cord leans, rad, until its centre of mass is straight below the hold.

    offset: of the centre of mass from the axis; below: how far it lies under the hold; both m.
    """
    return math.atan2(offset, below) if below > 0 else None


def swing_period(length: float, gyration: float = 0.0) -> float:
    """Seconds of one small swing to and fro, of a body that swings stiffly with its cord.

    T = 2 pi sqrt((l² + k²) / (g l)): the compound pendulum (Huygens 1673); a point mass has k = 0.
    length: from hook to centre of mass, m; gyration: about a level axis through it, m.
    """
    return 2 * math.pi * math.sqrt((length**2 + gyration**2) / (GRAVITY * length))
