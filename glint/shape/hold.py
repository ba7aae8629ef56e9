"""Where the cord takes hold of a body."""

from __future__ import annotations

import math

import numpy as np

from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.joints import rims

_TOUCHES = 1e-6  # of the body's radius: how near the axis a panel touches it


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
