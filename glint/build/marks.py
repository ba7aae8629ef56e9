"""What is drawn of a net, as plain marks in millimetres, for SVG and PDF alike; y runs upward."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from glint.build.net import Piece
from glint.shape.body import Body

_MM = 1e3  # in a metre
_FLAT = 1e-6  # radians from half a turn

Stroke = Literal["cut", "ridge", "valley", "flat", "rule"]
Fill = Literal["panel", "tile"]


class Area(NamedTuple):
    """A filled polygon (k, 2)."""

    corners: np.ndarray
    fill: Fill


class Line(NamedTuple):
    """A straight line (2, 2)."""

    ends: np.ndarray
    stroke: Stroke


class Label(NamedTuple):
    """A text with its middle at (2,); size: height of a figure, mm; turn: degrees anticlockwise."""

    at: np.ndarray
    text: str
    size: float
    turn: float = 0.0
    bold: bool = False


class Marks(NamedTuple):
    """What is drawn, lowest first: areas, then lines, then labels."""

    areas: tuple[Area, ...]
    lines: tuple[Line, ...]
    labels: tuple[Label, ...]


def piece_marks(piece: Piece, body: Body, at: tuple[float, float]) -> Marks:
    """A piece of a net with its lower left corner at a place, mm.

    Panels carry their number from 1, cut sides the number from 1 of the joint that they share.
    """
    shift = np.array(at)
    tile_of = {panel: tile for tile, panel in enumerate(body.tile_panel.tolist()) if panel >= 0}
    areas, labels = [], []
    for panel in piece.panels:
        corners = panel.corners * _MM + shift
        areas.append(Area(corners, "panel"))
        if panel.panel in tile_of:
            tile = tile_of[panel.panel]
            mirror = body.tile_corners[tile, : body.tile_sides[tile]]
            flat = (mirror @ panel.rotation.T + panel.shift) * _MM + shift
            areas.append(Area(flat, "tile"))
        size = 0.115 * _shortest_side(corners)
        labels.append(Label(corners.mean(axis=0), str(panel.panel + 1), size, bold=True))
    lines = [Line(fold.ends * _MM + shift, _stroke(fold.angle)) for fold in piece.folds]
    for cut in piece.cuts:
        ends = cut.ends * _MM + shift
        lines.append(Line(ends, "cut"))
        if cut.joint >= 0:
            labels.append(_side_label(ends, str(cut.joint + 1)))
    return Marks(tuple(areas), tuple(lines), tuple(labels))


def together(parts: Sequence[Marks]) -> Marks:
    """Several drawings as one."""
    return Marks(*(tuple(mark for part in parts for mark in part[i]) for i in range(3)))  # type: ignore[arg-type]


def _stroke(angle: float) -> Stroke:
    if abs(angle - math.pi) < _FLAT:
        return "flat"
    return "ridge" if angle < math.pi else "valley"


def _side_label(ends: np.ndarray, text: str) -> Label:
    """A number inside a side, read along it; the panel lies to the left of the way along it."""
    way = ends[1] - ends[0]
    length = float(np.hypot(*way))
    size = 0.075 * length
    inward = np.array([-way[1], way[0]]) / length
    turn = math.degrees(math.atan2(way[1], way[0]))
    if turn > 90.0 or turn <= -90.0:
        turn += 180.0
    return Label(ends.mean(axis=0) + 0.95 * size * inward, text, size, turn)


def _shortest_side(corners: np.ndarray) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
