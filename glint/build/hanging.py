"""How a ball hangs: where the cord takes hold, how far it tilts, how it swings, what holds it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.joints import rims
from glint.shape.weight import Mass

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s² (3rd CGPM, 1901)."""

_TOUCHES = 1e-6  # of the body's radius: how near the axis a panel touches it


class Hanging(NamedTuple):
    """hold: height of the point where cord meets ball above the ball's middle, m; holders: how many
    panels meet there, or stand round the opening; at_opening: whether it is one.
    offset: of the centre of mass from the hanging axis, m; tilt: rad, or None where the centre of
    mass lies above the hold, so that the ball would turn over; cord: m; period: of the swing, s;
    pull: on the cord, N; share: of it on each holder, N.
    """

    hold: float
    holders: int
    at_opening: bool
    offset: float
    tilt: float | None
    cord: float
    period: float
    pull: float
    share: float


def hang(body: Body, mass: Mass, cord: float) -> Hanging:
    """The statics of a ball on one cord of this length, m, made fast where the axis leaves it."""
    hold, holders, at_opening = hold_of(body)
    x, y, z = mass.centre
    offset = math.hypot(x, y)
    below = hold - float(z)
    pull = mass.total * GRAVITY
    return Hanging(
        hold=hold,
        holders=holders,
        at_opening=at_opening,
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


def hold_of(body: Body) -> tuple[float, int, bool]:
    """Height of the hold, m; how many panels bear it; and whether it is an opening's rim."""
    near = _TOUCHES * body.radius
    heights = np.array([_height_on_axis(corners, near) for corners in _outlines(body)])
    on_axis = np.isfinite(heights)
    top = float(heights[on_axis].max()) if on_axis.any() else -math.inf
    if top < 0 and body.frame.open_faces:
        # The axis leaves through an opening: a bar across its rim takes the cord.
        corners, holders = _upper_rim(body)
        return float(corners[:, 2].mean()), max(holders, 1), True
    if not on_axis.any():
        # A ring, as a mesh may be one: the cord divides, and is made fast at the highest corners.
        tops = np.array([corners[:, 2].max() for corners in _outlines(body)])
        return float(tops.max()), int((tops >= tops.max() - near).sum()), False
    return top, int((np.abs(heights - top) <= near).sum()), False


def _upper_rim(body: Body) -> tuple[np.ndarray, int]:
    """Corners (k, 3) of the opening that looks up most, and how many panels stand round it."""
    openings = [body.frame.vertices[list(face)] for face in body.frame.open_faces]
    up = [float(polygons.unit(corners.mean(axis=0))[2]) for corners in openings]
    corners = openings[int(np.argmax(up))]
    rim = rims(body.frame)
    near = _TOUCHES * body.radius
    apart = np.linalg.norm(rim.ends[:, :, None] - corners, axis=3).min(axis=2)
    return corners, len(np.unique(rim.panels[(apart <= near).all(axis=1)]))


def _outlines(body: Body) -> list[np.ndarray]:
    return [corners[:count] for corners, count in zip(*body.panels, strict=True)]


def _height_on_axis(corners: np.ndarray, near: float) -> float:
    """Where a panel (k, 3) meets the axis, or NaN where it does not, or runs along it."""
    out = polygons.unit(np.cross(corners[1] - corners[0], corners[2] - corners[0]))
    along = polygons.unit(np.roll(corners, -1, axis=0) - corners)
    if abs(out[2]) < 1e-9:
        return math.nan
    height = float(corners[0] @ out / out[2])
    inward = np.cross(out, along)
    inside = ((np.array([0.0, 0.0, height]) - corners) * inward).sum(axis=1)
    return height if (inside >= -near).all() else math.nan
