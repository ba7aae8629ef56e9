"""Whether a body can be glued together: panels of one edge length that do not cut each other."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np

from glint.errors import ShapeError
from glint.shape import polygons
from glint.shape.cutting import cutting_pairs
from glint.shape.face_names import counted, faces_left
from glint.shape.joints import flat_joints, joints
from glint.shape.polygons import Polygons
from glint.shape.polyhedron import Polyhedron, is_convex, panels, shortest_edge
from glint.shape.steps import Step
from glint.shape.steps.capping import CAPPED, Cap
from glint.shape.steps.opening import Open
from glint.shape.steps.raising import MOST_RAISED, Raise
from glint.shape.steps.splitting import MOST_PARTS, Split
from glint.shape.wording import step_as_toml

EDGE_TOLERANCE = 1e-9
"""How far a side may be from the common edge length, as a share of it."""

_KINDS = {3: "triangle", 4: "square"}
_NEAR_WHOLE = 1e-6


def unfinished(body: Polyhedron) -> dict[int, int]:
    """Faces that are no triangle or square: {sides: how many}."""
    kinds = Counter(len(face) for face in body.faces)
    return {sides: count for sides, count in sorted(kinds.items()) if sides not in _KINDS}


def cut_panels(body: Polyhedron) -> np.ndarray:
    """Pairs of panels that cut through each other, (k, 2) int; a convex body has none."""
    return np.empty((0, 2), dtype=np.int64) if is_convex(body) else cutting_pairs(panels(body))


def require_buildable(body: Polyhedron) -> None:
    """Raises ShapeError unless every face is an equilateral triangle or a square of one edge
    length, and no two cut through each other.
    """
    left = unfinished(body)
    if left:
        raise ShapeError(
            "shape.steps", f"{faces_left(left)} are left", f"add {_remedy(body, left)}"
        )
    _require_one_size(body)
    odd = irregular(panels(body))
    if odd.size:
        found = f"{counted(odd.size, 'face')} with unequal sides or angles, the first {odd[0] + 1}"
        raise ShapeError("shape.steps", found, "equilateral triangles and squares of one edge")
    pairs = cut_panels(body)
    if pairs.size:
        raise ShapeError("shape.steps", cuts_in_words(body, pairs), "panels that stay clear")


def remarks(body: Polyhedron) -> str:
    """What to know of a body that can be built: joints that lie flat, tips that touch; "" for
    nothing.
    """
    from scipy.spatial import KDTree

    found = []
    if flat := flat_joints(body):
        found.append(f"{counted(flat, 'joint')} {'lies' if flat == 1 else 'lie'} flat")
    used = np.unique(np.concatenate([np.array(face) for face in body.faces]))
    pairs = KDTree(body.vertices[used]).query_pairs(1e-7 * shortest_edge(body))
    if pairs:
        found.append(f"{counted(len(pairs), 'pair')} of tips touch")
    return ", ".join(found)


def require_joints(body: Polyhedron, least: float, most: float) -> None:
    """Raises ShapeError where a dihedral angle inside the body lies outside a joint's range,
    radians.
    """
    panel_pairs, _, angles = joints(body)
    outside = np.flatnonzero((angles < least - _NEAR_WHOLE) | (angles > most + _NEAR_WHOLE))
    if not outside.size:
        return
    sizes = [f"{angle:.4g}" for angle in np.unique(np.round(np.degrees(angles[outside]), 2))]
    shown = f"{', '.join(sizes[:3])}{' ...' if len(sizes) > 3 else ''} degrees"
    one, other = (f"{_kind(body, i)} {i + 1}" for i in panel_pairs[outside[0]].tolist())
    many = "1 joint" if outside.size == 1 else f"{outside.size} joints"
    found = f"{many} of {shown} inside the body, the first between {one} and {other}"
    allowed = f"{math.degrees(least):g} to {math.degrees(most):g} degrees, as joint_deg says"
    raise ShapeError("tile.joint_deg", found, allowed)


def irregular(shapes: Polygons, tolerance: float = EDGE_TOLERANCE) -> np.ndarray:
    """Numbers of triangles and squares with a side that is not the median of all sides, or
    whose corners are not square, (k,) int.
    """
    corners, sides = shapes
    wide = polygons.widen(shapes, max(_KINDS)).corners
    lengths = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    places = np.arange(corners.shape[1])
    real = (places < sides[:, None] - 1) | (places == corners.shape[1] - 1)
    edge = np.median(lengths[real])
    unequal = (real & (np.abs(lengths - edge) > tolerance * edge)).any(axis=1)
    diagonals = np.linalg.norm(wide[:, 2:4] - wide[:, 0:2], axis=2)
    askew = (np.abs(diagonals - np.sqrt(2) * edge) > tolerance * edge).any(axis=1) & (sides == 4)
    return np.flatnonzero(unequal | askew)


def cuts_in_words(body: Polyhedron, pairs: np.ndarray) -> str:
    """How many pairs of panels cut each other, and which is the first, counted from 1."""
    one, other = (f"{_kind(body, i)} {i + 1}" for i in pairs[0].tolist())
    many = "1 pair of panels cuts" if len(pairs) == 1 else f"{len(pairs)} pairs of panels cut"
    return f"{many} through each other, the first {one} and {other}"


def _kind(body: Polyhedron, panel: int) -> str:
    """What a panel is called; those of a mesh may have four sides and be no squares."""
    corners = panels(body).corners
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
    # By sides, not by joints: corners of a mesh that nearly meet may keep it from closing.
    alike = np.ptp(sides[sides > 0]) <= 1e-6 * sides.max()
    return _KINDS.get(len(body.faces[panel]), "panel") if alike else "panel"


def _require_one_size(body: Polyhedron) -> None:
    """Raises ShapeError where some panels were split and others not, or not as often."""
    shapes = panels(body)
    edges = np.linalg.norm(shapes.corners[:, 1] - shapes.corners[:, 0], axis=1)
    ratios = edges / edges.min()
    if ratios.max() < 1 + _NEAR_WHOLE:
        return
    rows = np.column_stack([shapes.sides, np.round(ratios, 6)])[ratios > 1 + _NEAR_WHOLE]
    kinds, counts = np.unique(rows, axis=0, return_counts=True)
    # A step takes the largest faces of a kind, so the largest come first.
    kinds, counts = kinds[::-1], counts[::-1]
    left = [
        f"{counted(int(count), 'face')} of {int(sides)} sides with edges {ratio:g} times as long"
        for (sides, ratio), count in zip(kinds, counts, strict=True)
    ]
    uneven = np.abs(kinds[:, 1] - np.round(kinds[:, 1])).max() > _NEAR_WHOLE
    if uneven or kinds[0, 1] > MOST_PARTS:
        allowed = "splits that leave all panels with one edge length"
    else:
        steps = [
            step_as_toml(Split(sides=int(sides), frequency=round(ratio)))
            for sides, ratio in kinds.tolist()
        ]
        allowed = f"add {' and '.join(steps)}"
    verb = "is" if counts.sum() == 1 else "are"
    raise ShapeError("shape.steps", f"{' and '.join(left)} {verb} left", allowed)


def _remedy(body: Polyhedron, left: dict[int, int]) -> str:
    """Steps that would deal with the faces left, as they are written in a scene file."""
    something_stays = sum(left.values()) < len(body.faces)
    each = []
    for sides, count in left.items():
        steps: list[Step] = [Raise(sides=sides)] if sides <= MOST_RAISED else []
        if sides in CAPPED:
            steps.append(Cap(sides=sides))
        if something_stays or not steps:
            steps.append(Open(sides=sides, count=count))
        each.append(" or ".join(map(step_as_toml, steps)))
    return "; and ".join(each)
