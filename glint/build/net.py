"""The net: a body's panels unfolded onto paper, outer faces up, in as few pieces as are found.

A piece starts at its lowest panel and grows outward, panel after panel, each swung about a joint
into the paper. A panel that would overlap one already there, by exact polygons, or make the piece
too large for the paper, stays out; what is left when nothing more fits makes the next piece.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from glint.shape.flat import flat_frame, laid_flat
from glint.shape.joints import Joints, joints
from glint.shape.polyhedron import Polyhedron, face_centres

_OVERLAP = 1e-6  # of a panel's area: less is rounding along a common side


class Laid(NamedTuple):
    """One panel on paper. panel: its number; corners: (k, 2) float, in the order of its face and in
    the body's unit; rotation (2, 3) and shift (2,): corners = rotation @ corners in space + shift.
    """

    panel: int
    corners: np.ndarray
    rotation: np.ndarray
    shift: np.ndarray


class Fold(NamedTuple):
    """A joint along which two panels of a piece hang together; ends: (2, 2) float on paper; angle:
    inside the body, rad.
    """

    joint: int
    ends: np.ndarray
    angle: float


class Cut(NamedTuple):
    """A panel side on the border of a piece; ends: (2, 2) float on paper, anticlockwise round the
    panel. joint: its number, which the other border that it is glued to has too, or -1 at an
    opening. other: the panel beyond, or -1. angle: rad, NaN at an opening.
    """

    panel: int
    ends: np.ndarray
    joint: int
    other: int
    angle: float


class Piece(NamedTuple):
    """Panels that hang together on paper. The least x and y of all corners are 0; size: (2,)."""

    panels: tuple[Laid, ...]
    folds: tuple[Fold, ...]
    cuts: tuple[Cut, ...]
    size: np.ndarray


def unfold(body: Polyhedron, paper: tuple[float, float] | None = None) -> tuple[Piece, ...]:
    """The net, panels numbered from 0 as in the body. paper: width and height that each piece must
    fit, in the body's unit; a single panel that does not fit makes a piece of its own.
    """
    found = joints(body)
    beside: list[list[tuple[int, int]]] = [[] for _ in body.faces]
    for number, (left, right) in enumerate(found.panels.tolist()):
        beside[left].append((right, number))
        beside[right].append((left, number))
    outlines = [body.vertices[list(face)] for face in body.faces]
    order = np.argsort(np.round(face_centres(body)[:, 2], 9), kind="stable").tolist()
    free = set(order)
    pieces = []
    for start in order:
        if start in free:
            laid, used = _grow(start, outlines, beside, found, free, paper)
            pieces.append(_piece(body, laid, used, found))
    return tuple(pieces)


def _grow(
    start: int,
    outlines: Sequence[np.ndarray],
    beside: Sequence[Sequence[tuple[int, int]]],
    found: Joints,
    free: set[int],
    paper: tuple[float, float] | None,
) -> tuple[dict[int, Laid], set[int]]:
    """The panels of one piece, taken out of `free`, and the joints that hold them together."""
    frame = flat_frame(outlines[start])
    flat = laid_flat(outlines[start])
    laid = {start: Laid(start, flat, frame, -frame @ outlines[start][0])}
    free.discard(start)
    placed = [shapely.Polygon(flat)]
    low, high = flat.min(axis=0), flat.max(axis=0)
    used: set[int] = set()
    waiting = deque((start, other, joint) for other, joint in beside[start])
    while waiting:
        one, other, joint = waiting.popleft()
        if other not in free:
            continue
        swung = _swung(outlines[other], other, laid[one], found.ends[joint])
        least = np.minimum(low, swung.corners.min(axis=0))
        most = np.maximum(high, swung.corners.max(axis=0))
        if paper is not None and not _fits(most - least, paper):
            continue
        outline = shapely.Polygon(swung.corners)
        if shapely.area(shapely.intersection(placed, outline)).max() > _OVERLAP * outline.area:
            continue
        laid[other] = swung
        free.discard(other)
        used.add(joint)
        placed.append(outline)
        low, high = least, most
        waiting += ((other, further, number) for further, number in beside[other])
    return laid, used


def _swung(outline: np.ndarray, panel: int, beside: Laid, ends: np.ndarray) -> Laid:
    """A panel swung about a joint (2, 3) of one that lies on the paper already."""
    frame = flat_frame(outline)
    here = ends @ frame.T
    there = ends @ beside.rotation.T + beside.shift
    before, after = here[1] - here[0], there[1] - there[0]
    # Both are as long as the joint: the turn between them, as a complex number of length 1.
    turn = complex(*after) / complex(*before)
    turn /= abs(turn)
    rotation = np.array([[turn.real, -turn.imag], [turn.imag, turn.real]]) @ frame
    shift = there.mean(axis=0) - rotation @ ends.mean(axis=0)
    return Laid(panel, outline @ rotation.T + shift, rotation, shift)


def _fits(size: np.ndarray, paper: tuple[float, float]) -> bool:
    return bool((size <= np.array(paper) * (1 + 1e-9)).all())


def _piece(body: Polyhedron, laid: dict[int, Laid], used: set[int], found: Joints) -> Piece:
    low = np.min([panel.corners.min(axis=0) for panel in laid.values()], axis=0)
    moved = {
        number: panel._replace(corners=panel.corners - low, shift=panel.shift - low)
        for number, panel in laid.items()
    }
    folds = []
    for joint in sorted(used):
        panel = moved[int(found.panels[joint, 0])]
        ends = found.ends[joint] @ panel.rotation.T + panel.shift
        folds.append(Fold(joint, ends, float(found.angles[joint])))
    cuts = [cut for panel in moved.values() for cut in _cuts(body, panel, used, found)]
    size = np.max([panel.corners.max(axis=0) for panel in moved.values()], axis=0)
    return Piece(tuple(moved.values()), tuple(folds), tuple(cuts), size)


def _cuts(body: Polyhedron, panel: Laid, used: set[int], found: Joints) -> list[Cut]:
    mine = np.flatnonzero((found.panels == panel.panel).any(axis=1))
    outline = body.vertices[list(body.faces[panel.panel])]
    rows = []
    for place, corner in enumerate(outline):
        side = np.stack([corner, outline[(place + 1) % len(outline)]])
        ends = panel.corners[[place, (place + 1) % len(outline)]]
        apart = np.abs(found.ends[mine].sum(axis=1) - side.sum(axis=0)).max(axis=1, initial=0)
        near = mine[apart <= 1e-6 * np.abs(side[1] - side[0]).max()]
        if not near.size:
            rows.append(Cut(panel.panel, ends, -1, -1, float("nan")))
        elif int(near[0]) not in used:
            joint = int(near[0])
            left, right = found.panels[joint].tolist()
            other = right if left == panel.panel else left
            rows.append(Cut(panel.panel, ends, joint, other, float(found.angles[joint])))
    return rows
