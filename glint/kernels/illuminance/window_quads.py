"""Windows as quads of four corners, in the lens frame: the form that is quick to light."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers, Lamps
from glint.kernels.geometry.bounding_cone import bounding_cone
from glint.kernels.illuminance.beam_bounds import bounds
from glint.kernels.illuminance.penumbra import SMALLEST_LENS
from glint.kernels.runtime.jit import kernel


class WindowQuads(NamedTuple):
    """The windows of all beams, cut into convex parts of three or four corners.

    beam: (p,) int, rising
    corners: (p, 3, 4) float, m, in the mirrored lens frame, anticlockwise as seen against the
        light; of three corners the last is repeated
    cones: (8, p) float, a column for the cone about all light through a quad (see `cone`)
    planes: (p, 16) float, a row for the flat bounds of that light (see `hull`)
    sharpness: (p, 4) float: the quad's distance from the lens, m; the angles that the lens fills
        from the quad, and the quad from the lens, rad; the share of the lens that is seen through
        the quad from far away, if it is less than the whole
    """

    beam: Integers
    corners: Floats
    cones: Floats
    planes: Floats
    sharpness: Floats


@kernel
def _cut(beams, lamps, beam, corners, cones, planes, sharpness):
    part = np.empty((4, 3))
    cone = np.empty(8)
    quad = 0
    for b in range(beams.lamp.shape[0]):
        apex, frame, window = beams.apex[b], beams.frame[b], beams.window[b]
        radius = lamps.lens_radius[beams.lamp[b]]
        for first in range(1, beams.sides[b] - 1, 2):
            count = min(4, beams.sides[b] - first + 1)
            turn = 0.0
            for i in range(4):
                source = 0 if i == 0 else min(first + i - 1, beams.sides[b] - 1)
                for k in range(3):
                    part[i, k] = window[source, k]
                for k in range(3):
                    along = 0.0
                    for m in range(3):
                        along += frame[k, m] * (part[i, m] - apex[m])
                    corners[quad, k, i] = along
            local = corners[quad]
            for i in range(4):
                j = (i + 1) % 4
                turn += (local[0, i] * local[1, j] - local[1, i] * local[0, j]) / (
                    local[2, i] * local[2, j]
                )
            if turn < 0.0:
                for k in range(3):
                    local[k, 0], local[k, 3] = local[k, 3], local[k, 0]
                    local[k, 1], local[k, 2] = local[k, 2], local[k, 1]
            bounding_cone(apex, radius, part, count, cone)
            bounds(local, radius, lamps.sphere[beams.lamp[b]], apex, frame, planes, quad)
            for k in range(8):
                cones[k, quad] = cone[k]
            away = reach = 0.0
            for k in range(3):
                middle = 0.0
                for i in range(count):
                    middle += local[k, i] / count
                away += middle * middle
            for i in range(count):
                square = 0.0
                for k in range(3):
                    square += (part[i, k] - part[0, k]) ** 2
                reach = max(reach, square)
            distance = np.sqrt(away)
            sharpness[quad, 0] = distance
            sharpness[quad, 1] = 2.0 * radius / distance
            sharpness[quad, 2] = np.sqrt(reach) / distance
            lens = math.pi * max(radius, SMALLEST_LENS) ** 2
            sharpness[quad, 3] = 0.5 * abs(turn) * distance * distance / lens
            beam[quad] = b
            quad += 1


def window_quads(beams: Beams, lamps: Lamps) -> WindowQuads:
    """Cut every beam's window into quads."""
    number = int(((beams.sides - 1) // 2).sum())
    quads = WindowQuads(
        np.zeros(number, np.int64),
        np.zeros((number, 3, 4)),
        np.zeros((8, number)),
        np.zeros((number, 16)),
        np.zeros((number, 4)),
    )
    _cut(beams, lamps, *quads)
    return quads
