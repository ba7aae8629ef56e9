"""What is drawn of a net, and how each kind of mark looks: SVG and PDF both follow this list.

Places are in millimetres, y runs upward.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import numpy as np

from glint.build.net import Piece
from glint.shape.body import Body

FIGURE = 0.72
"""Height of a figure as a share of its type size, in common sans faces."""

_MM = 1e3  # in a metre
_FLAT = 1e-6  # radians from half a turn

Kind = Literal["panel", "tile", "cut", "ridge", "valley", "flat", "rule", "label", "number"]


class Look(NamedTuple):
    """Colours of a mark's inside and line; the line's width and dashes (on, off), mm."""

    fill: str = "none"
    stroke: str = "none"
    width: float = 0.0
    dashes: tuple[float, ...] = ()
    weight: Literal["normal", "bold"] = "normal"


LOOKS: dict[Kind, Look] = {
    "panel": Look(fill="#ffffff"),
    "tile": Look(fill="#e9ecef"),
    "flat": Look(stroke="#999999", width=0.25, dashes=(0.3, 1.0)),
    "ridge": Look(stroke="#000000", width=0.25),
    "valley": Look(stroke="#000000", width=0.25, dashes=(2.0, 1.2)),
    "cut": Look(stroke="#000000", width=0.5),
    "rule": Look(stroke="#000000", width=0.3),
    "label": Look(fill="#000000"),
    "number": Look(fill="#000000", weight="bold"),
}
"""Lowest first: each kind is drawn over those before it."""


class Mark(NamedTuple):
    """points: (k, 2), the corners of an area, the ends of a line, or the middle of a text's
    baseline (1, 2); size: height of a text's figures, mm; turn: of a text, degrees anticlockwise.
    """

    kind: Kind
    points: np.ndarray
    text: str = ""
    size: float = 0.0
    turn: float = 0.0


def label(kind: Kind, middle: np.ndarray, text: str, size: float, turn: float = 0.0) -> Mark:
    """A text whose figures have their middle at a place (2,)."""
    down = np.array([math.sin(math.radians(turn)), -math.cos(math.radians(turn))])
    return Mark(kind, (middle + 0.5 * size * down)[None], text, size, turn)


def piece_marks(piece: Piece, body: Body, at: tuple[float, float]) -> list[Mark]:
    """A piece of a net with its lower left corner at a place, mm.

    Panels carry their number from 1, cut sides the number from 1 of the joint that they share.
    """
    shift = np.array(at)
    tile_of = {panel: tile for tile, panel in enumerate(body.tile_panel.tolist()) if panel >= 0}
    marks: list[Mark] = []
    for panel in piece.panels:
        corners = panel.corners * _MM + shift
        marks.append(Mark("panel", corners))
        if panel.panel in tile_of:
            tile = tile_of[panel.panel]
            mirror = body.tile_corners[tile, : body.tile_sides[tile]]
            flat = (mirror @ panel.rotation.T + panel.shift) * _MM + shift
            marks.append(Mark("tile", flat))
        size = 0.115 * _shortest_side(corners)
        marks.append(label("number", corners.mean(axis=0), str(panel.panel + 1), size))
    marks += [Mark(_fold_kind(fold.angle), fold.ends * _MM + shift) for fold in piece.folds]
    for cut in piece.cuts:
        ends = cut.ends * _MM + shift
        marks.append(Mark("cut", ends))
        if cut.joint >= 0:
            marks.append(_side_label(ends, str(cut.joint + 1)))
    return marks


def _fold_kind(angle: float) -> Kind:
    if abs(angle - math.pi) < _FLAT:
        return "flat"
    return "ridge" if angle < math.pi else "valley"


def _side_label(ends: np.ndarray, text: str) -> Mark:
    """A number inside a side, read along it; the panel lies to the left of the way along it."""
    way = ends[1] - ends[0]
    length = float(np.hypot(*way))
    size = 0.075 * length
    inward = np.array([-way[1], way[0]]) / length
    turn = math.degrees(math.atan2(way[1], way[0]))
    if turn > 90.0 or turn <= -90.0:
        turn += 180.0
    return label("label", ends.mean(axis=0) + 0.95 * size * inward, text, size, turn)


def _shortest_side(corners: np.ndarray) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())
