"""Where straight lines meet the room."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Floats, Integers
from glint.room.dome import Room
from glint.room.surface import Surface

SLACK = 1e-9
"""How far beyond a surface's rim a line may land and still be on it, m: no line slips through."""


class Landing(NamedTuple):
    """Where lines meet the room.

    surface: (n,) int, number in Room.surfaces, or -1 for lines that meet nothing ahead
    point: (n, 3) float, m; normal: (n, 3) float, unit, towards the room
    distance: (n,) float, m, 0 for lines that meet nothing
    """

    surface: Integers
    point: Floats
    normal: Floats
    distance: Floats


def land(room: Room, start: Floats, direction: Floats) -> Landing:
    """The first surface ahead of each line.

    start: (n, 3) float, m, inside the room; direction: (n, 3) float, unit.
    """
    number = len(start)
    surface = np.full(number, -1)
    distance = np.full(number, np.inf)
    for index, one in enumerate(room.surfaces):
        ahead = _distance(one, start, direction)
        nearer = ahead < distance
        surface[nearer] = index
        distance[nearer] = ahead[nearer]
    met = surface >= 0
    distance = np.where(met, distance, 0.0)
    point = start + distance[:, None] * direction
    normal = np.zeros((number, 3))
    for index, one in enumerate(room.surfaces):
        mine = surface == index
        normal[mine] = normals(one, point[mine])
    return Landing(surface, point, normal, distance)


def normals(surface: Surface, points: Floats) -> Floats:
    """Unit normals towards the room at points of a surface: (n, 3) float."""
    if surface.kind == "disc":
        return np.tile([0.0, 0.0, 1.0], (len(points), 1))
    away = points - surface.centre
    if surface.kind == "cylinder":
        away = away * [1.0, 1.0, 0.0]
    return -away / np.linalg.norm(away, axis=1, keepdims=True)


def _distance(surface: Surface, start: Floats, direction: Floats) -> Floats:
    """Along each line to a surface met from inside, m; infinite where it is missed."""
    away = start - surface.centre
    with np.errstate(divide="ignore", invalid="ignore"):
        if surface.kind == "disc":
            length = -away[:, 2] / direction[:, 2]
            place = away + length[:, None] * direction
            on = np.hypot(place[:, 0], place[:, 1]) <= surface.radius + SLACK
        elif surface.kind == "cylinder":
            length = _round(away[:, :2], direction[:, :2], surface.radius)
            height = away[:, 2] + length * direction[:, 2]
            on = (height >= -SLACK) & (height <= surface.height + SLACK)
        else:
            length = _round(away, direction, surface.radius)
            height = away[:, 2] + length * direction[:, 2]
            on = height >= surface.radius - surface.height - SLACK
        return np.where(on & (length > 0.0), length, np.inf)


def _round(away: Floats, direction: Floats, radius: float) -> Floats:
    """To the far side of a sphere or, across its axis, of a cylinder."""
    square = np.sum(direction**2, axis=1)
    along = np.sum(away * direction, axis=1)
    root = along**2 - square * (np.sum(away**2, axis=1) - radius**2)
    return (-along + np.sqrt(np.where(root >= 0.0, root, np.nan))) / square
