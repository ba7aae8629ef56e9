"""Where the cord takes hold of a body."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.joints import rims

_TOUCHES = 1e-6  # of the body's radius: how near the axis a panel touches it

HoldKind = Literal["vertex", "edge", "face", "opening", "pole", "corners"]


class Hold(NamedTuple):
    """height: above the body's middle, m; panels: the numbers of those that bear the body, each at
    its row of places (n, 3), m, in the ball's frame.

    kind: what the cord goes through; "opening": a bar across its rim, in the middles of whose sides
    the places are; "pole": of a ring-laid ball, whose core bears; "corners": the highest ones of a
    body with a hole along its axis, as a mesh may have.
    """

    height: float
    kind: HoldKind
    panels: tuple[int, ...]
    places: np.ndarray


def hold_of(body: Body) -> Hold:
    """What the hanging axis meets at the top of a body."""
    near = _TOUCHES * body.radius
    outlines = _outlines(body)
    heights = np.array([_height_on_axis(corners, near) for corners in outlines])
    on_axis = np.isfinite(heights)
    top = float(heights[on_axis].max()) if on_axis.any() else -math.inf
    if top < 0 and body.frame.open_faces:
        # The axis leaves through an opening: a bar across its rim takes the cord.
        return _at_opening(body)
    if not on_axis.any():
        # A ring, as a mesh may be one: the cord divides, and is made fast at the highest corners.
        tops = np.array([corners[corners[:, 2].argmax()] for corners in outlines])
        highest = np.flatnonzero(tops[:, 2] >= tops[:, 2].max() - near)
        return Hold(float(tops[:, 2].max()), "corners", _numbers(highest), tops[highest])
    meet = np.flatnonzero(np.abs(heights - top) <= near)
    point = np.array([0.0, 0.0, top])
    kind = "pole" if body.base == "rings" else _kind([outlines[i] for i in meet], point, near)
    return Hold(top, kind, _numbers(meet), np.tile(point, (len(meet), 1)))


def _kind(outlines: list[np.ndarray], point: np.ndarray, near: float) -> HoldKind:
    apart = min(float(np.linalg.norm(corners - point, axis=1).min()) for corners in outlines)
    if apart <= near:
        return "vertex"
    return "face" if len(outlines) == 1 else "edge"


def _at_opening(body: Body) -> Hold:
    """The opening that looks up most, and the panels that stand round it."""
    openings = [body.frame.vertices[list(face)] for face in body.frame.open_faces]
    up = [float(polygons.unit(corners.mean(axis=0))[2]) for corners in openings]
    corners = openings[int(np.argmax(up))]
    rim = rims(body.frame)
    near = _TOUCHES * body.radius
    apart = np.linalg.norm(rim.ends[:, :, None] - corners, axis=3).min(axis=2)
    sides = (apart <= near).all(axis=1)
    middles = rim.ends[sides].mean(axis=1)
    return Hold(float(corners[:, 2].mean()), "opening", _numbers(rim.panels[sides]), middles)


def _numbers(found: np.ndarray) -> tuple[int, ...]:
    return tuple(found.ravel().tolist())


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
