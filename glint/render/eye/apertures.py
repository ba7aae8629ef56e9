"""The openings of a ball that shines by itself, as an eye sees them: polygons that glow."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Flags, Floats
from glint.kernels.camera.projection import Camera, projected
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.cavity import LedCavity
from glint.lighting.strings.maps import shining
from glint.scene.ball import Ball
from glint.scene.scene import Pose
from glint.shape.openings import HOLE, plugs
from glint.shape.polygons import Polygons, centres, normals, widen

PROUD = 1e-6
"""How far the outer end of a hole lies before its tile, m: just so that a ray meets it first."""

MARGIN = 1.0
"""Pixels about an opening that get as many samples as the opening."""


def open_ball(inside: LedCavity, ball: Ball) -> tuple[Polygons, Flags, Floats]:
    """Tiles, what is left of the panels, and then the openings, in the ball's own frame.

    Also which are mirrors, (n,) bool, and the depth of each opening, see `bvh.Bodies`.
    An opening that is not flat is a fan about its middle: with the panels it closes the body, and
    all of it looks alike from every side, so only its rim counts.
    """
    openings, body = inside.openings, ball.body
    drilled = openings.kind == HOLE
    plain = openings.flat & ~drilled
    parts = [
        Polygons(inside.polygons.corners, inside.polygons.sides),
        Polygons(openings.corners[plain], openings.sides[plain]),
        *(
            _fan(openings.corners[i, : openings.sides[i]])
            for i in np.flatnonzero(~openings.flat & ~drilled)
        ),
    ]
    solid = len(inside.polygons.sides) - len(openings.sides)
    parts[0] = Polygons(parts[0].corners[:solid], parts[0].sides[:solid])
    depth = np.zeros(sum(len(part.sides) for part in parts[1:]))
    if drilled.any():
        rings = plugs(body.tiles, ball.hole, PROUD)
        parts.append(Polygons(rings, np.full(len(rings), rings.shape[1])))
        inner = centres(Polygons(openings.through[drilled], openings.sides[drilled]))
        # Holes are in the panels' order; every tile is glued on one.
        number = np.searchsorted(openings.number[drilled], body.tile_panel)
        away = np.linalg.norm(centres(parts[-1]) - inner[number], axis=1)
        depth = np.concatenate([depth, away])
    width = max(part.corners.shape[1] for part in parts)
    corners = np.concatenate([widen(part, width).corners for part in parts])
    sides = np.concatenate([part.sides for part in parts])
    mirror = np.zeros(len(sides), bool)
    mirror[:solid] = inside.polygons.mirror[:solid]
    return Polygons(corners, sides), mirror, depth


def _fan(ring: Floats) -> Polygons:
    middle = np.broadcast_to(ring.mean(axis=0), ring.shape)
    corners = np.stack([middle, ring, np.roll(ring, -1, axis=0)], axis=1)
    return Polygons(corners, np.full(len(ring), 3))


def luminance_of(poses: Sequence[Pose], bodies: int) -> Floats:
    """Mean luminance of the openings of each body over some poses, cd/m**2: (bodies, 3) float."""
    found = np.zeros((bodies, 3))
    for pose in poses:
        for inside in lighting_of(pose.scene).cavities:
            value = inside.radiance(inside.brightness(pose.seconds))
            found[inside.ball] += value / len(poses)
    return found


def mark_openings(view: Camera, poses: Sequence[Pose], mask: NDArray[np.bool_]) -> None:
    """Set the pixels over which openings of some poses may be seen. mask: (h, w) bool, changed in
    place."""
    height, width = mask.shape
    for pose in poses:
        for some in shining(pose):
            seen = projected(view, some.corners.reshape(-1, 3)).reshape(*some.corners.shape)
            places = seen[..., 1:]
            low = np.floor(places.min(axis=1) - MARGIN)
            high = np.ceil(places.max(axis=1) + MARGIN)
            shapes = Polygons(some.corners, some.sides)
            towards = view.at - centres(shapes)
            # Not flat ones bend by less than they are wide.
            bend = np.ptp(some.corners, axis=1).max(axis=1)
            seen_from = np.einsum("nk,nk->n", normals(shapes), towards) > -bend
            ahead = (seen[..., 0] > 0).all(axis=1) & seen_from
            limits = [width, height]
            boxes = np.hstack([np.clip(low, 0, limits), np.clip(high, 0, limits)]).astype(int)
            for x0, y0, x1, y1 in boxes[ahead]:
                mask[y0:y1, x0:x1] = True
