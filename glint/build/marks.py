"""What is drawn of a net, and how each kind of mark looks: SVG and PDF both follow this list.

Places are in millimetres, y runs upward.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from glint.build.net import Laid, Piece
from glint.shape.body import Body
from glint.shape.hold import hold_of

FIGURE = 0.72
"""Height of a figure as a share of its type size, in common sans faces."""

_MM = 1e3  # in a metre
_FLAT = 1e-6  # radians from half a turn

TOP = "top"
"""The word at the places that come together where the ball hangs."""

Kind = Literal[
    "panel",
    "tile",
    "cut",
    "ridge",
    "valley",
    "flat",
    "rule",
    "dot",
    "ring",
    "label",
    "tag",
    "number",
]


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
    "dot": Look(fill="#000000"),
    "ring": Look(stroke="#000000", width=0.4),
    "label": Look(fill="#000000"),
    "tag": Look(fill="#000000"),
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


class Notes(NamedTuple):
    """What stands on the panels besides their numbers. tags: for each panel the sub-assembly that
    it lies in, or "", or none at all; tops: for some panels, by their number from 0, the places
    (3,) of the body, m, where it hangs.
    """

    tags: Sequence[str]
    tops: Sequence[tuple[int, np.ndarray]]


def notes_of(body: Body, tags: Sequence[str] = ()) -> Notes:
    """The notes on a body's net; tags: as in `Notes`."""
    hold = hold_of(body)
    return Notes(tags, tuple(zip(hold.panels, hold.places, strict=True)))


def piece_marks(piece: Piece, body: Body, notes: Notes, at: tuple[float, float]) -> list[Mark]:
    """A piece of a net with its lower left corner at a place, mm.

    Panels carry their number from 1 and the sub-assembly that they lie in, cut sides the number
    from 1 of the joint that they share.
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
            marks.append(Mark("tile", _on_paper(mirror, panel, shift)))
        marks += _panel_labels(panel.panel, corners, notes)
        for place in (place for number, place in notes.tops if number == panel.panel):
            marks += _top(_on_paper(place[None], panel, shift)[0], corners)
    marks += [Mark(_fold_kind(fold.angle), fold.ends * _MM + shift) for fold in piece.folds]
    for cut in piece.cuts:
        ends = cut.ends * _MM + shift
        marks.append(Mark("cut", ends))
        if cut.joint >= 0:
            marks.append(_side_label(ends, str(cut.joint + 1)))
    return marks


def _on_paper(places: np.ndarray, panel: Laid, shift: np.ndarray) -> np.ndarray:
    """Places (k, 3) of the body, m, where they lie on paper with a panel, mm."""
    return (places @ panel.rotation.T + panel.shift) * _MM + shift


def _panel_labels(number: int, corners: np.ndarray, notes: Notes) -> list[Mark]:
    """The number of a panel, and under it its sub-assembly."""
    text, tag = str(number + 1), notes.tags[number] if notes.tags else ""
    middle, size = corners.mean(axis=0), 0.125 * _shortest_side(corners)
    # Three digits keep clear of the small numbers along the sides of a triangle.
    large = size * min(1.0, 2.4 / len(text))
    if not tag:
        return [label("number", middle, text, large)]
    return [
        label("number", middle + np.array([0.0, 0.35 * size]), text, large),
        label("tag", middle - np.array([0.0, 0.72 * size]), tag, 0.52 * size),
    ]


def _top(place: np.ndarray, corners: np.ndarray) -> list[Mark]:
    """A dot where a panel comes to the hanging point, and the word, towards its middle.

    In the very middle of a panel, where its number stands, a ring goes round both.
    """
    side, inward = _shortest_side(corners), corners.mean(axis=0) - place
    away = float(np.hypot(*inward))
    if away < 0.05 * side:
        word = label("tag", place + np.array([0.0, 0.16 * side]), TOP, 0.05 * side)
        return [Mark("ring", _circle(place, 0.22 * side)), word]
    word = label("tag", place + 0.17 * side * inward / away, TOP, 0.06 * side)
    return [Mark("dot", _circle(place, 0.035 * side)), word]


def _circle(middle: np.ndarray, radius: float) -> np.ndarray:
    """Corners (49, 2) of a fine polygon, the last as the first."""
    turns = np.linspace(0.0, 2.0 * math.pi, 49)
    return middle + radius * np.stack([np.cos(turns), np.sin(turns)], axis=1)


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
