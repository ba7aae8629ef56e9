"""The images that strings throw: each LED once more through every opening that shows it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.spatial import KDTree

from glint.kernels.arrays import Beams, Floats, Integers
from glint.lighting.prepared import lighting_of
from glint.lighting.spots import patches
from glint.lighting.strings.cavity import LedCavity
from glint.scene.scene import Pose
from glint.shape.openings import Openings

ALONG = 8
"""Points along each side of an opening that a window is matched by."""


class Images(NamedTuple):
    """One row an image: one LED's light through one opening, and over one chain of mirrors if any.

    surface: (n,) int, number in Room.surfaces, of the image's middle; point: (n, 3) float, m
    peak: (n,) float, lx, the highest illuminance of this image alone
    """

    surface: Integers
    point: Floats
    peak: Floats


def images_of(pose: Pose) -> Images:
    """The images that all strings of a pose throw; LEDs that are dark throw none."""
    found = [Images(np.zeros(0, np.int64), np.zeros((0, 3)), np.zeros(0))]
    for inside in lighting_of(pose.scene).cavities:
        bright = inside.brightness(pose.seconds)
        lit = np.flatnonzero((bright[inside.beams.lamp] > 0.0) & (inside.beams.lumens > 0.0))
        if not len(lit):
            continue
        own = Beams._make(column[lit] for column in inside.beams)
        order, start = _by_image(own, inside)
        turn, centre = pose.rotations[inside.ball], pose.centres[inside.ball]
        beams, lamps = inside.placed(turn, centre, bright)
        ordered = Beams._make(column[lit[order]] for column in beams)
        one = patches(pose.scene.room, lamps, ordered, start)
        found.append(Images(one.met.surface, one.met.point, one.peak))
    return Images._make(np.concatenate(columns) for columns in zip(*found, strict=True))


def _by_image(beams: Beams, inside: LedCavity) -> tuple[Integers, Integers]:
    """An order of beams, in the ball's frame, in which those of one image follow each other, and
    where each image begins, with one past the last: a body's wide openings come in pieces."""
    opening = _nearest_opening(beams, inside.openings)
    keys = np.column_stack([beams.lamp, opening, beams.chain])
    order = np.lexsort(keys.T[::-1])
    keys = keys[order]
    new = np.ones(len(keys), bool)
    new[1:] = (keys[1:] != keys[:-1]).any(axis=1)
    return order, np.append(np.flatnonzero(new), len(keys)).astype(np.int64)


def _nearest_opening(beams: Beams, openings: Openings) -> Integers:
    """The opening that each beam came through, parts of one counted as one: (b,) int.

    A beam does not carry its number, but its window is a part of the opening; of a mirrored beam
    the chain of tiles tells enough: -1.
    """
    share = (np.arange(ALONG) + 0.5) / ALONG
    ahead = np.roll(openings.corners, -1, axis=1)
    rims = openings.corners[:, :, None] + share[:, None] * (ahead - openings.corners)[:, :, None]
    middle = openings.corners.mean(axis=1)[:, None, None]
    places = np.stack([rims, 0.5 * (rims + middle)], axis=1).reshape(len(rims), -1, 3)
    used = np.arange(beams.window.shape[1]) < beams.sides[:, None]
    centres = (beams.window * used[..., None]).sum(axis=1) / beams.sides[:, None]
    _, nearest = KDTree(places.reshape(-1, 3)).query(centres)
    _, same = np.unique(
        np.column_stack([openings.kind, openings.number]), return_inverse=True, axis=0
    )
    return np.where(beams.bounces == 0, same.ravel()[nearest // places.shape[1]], -1)
