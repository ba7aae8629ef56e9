"""The light of one pane on one hall of a chart: texel by texel, leaf by leaf."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats, Integers
from glint.optics.blocks import HALL
from glint.optics.chart import LEAF, block_points
from glint.optics.compile import kernel
from glint.optics.hull import reached
from glint.optics.penumbra import LUX, MANY, illuminate, into_frame, workplace

TEXELS = LEAF * LEAF
LEAVES = HALL * HALL

MOST_SAMPLES = 6
"""Most samples along a texel's side where a spot is sharper than the texels."""

MIDDLES, MEANS, LIT = np.uint8(1), np.uint8(2), np.uint8(4)
"""Of a leaf: that its light at the middles of texels is of this hall; that its means over texels
are; that there is any. Light may be below zero: parts of a twinkle are."""


class Hall(NamedTuple):
    """What a worker writes on while it lights a hall; `new_hall` makes one.

    spheres: (4, LEAVES) float, m, about each leaf; middles, means: (LEAVES, TEXELS, 3) float, lx,
    light at the middles of texels and means over texels; lit: (LEAVES,) uint8, which of these
    there are of a leaf: the others' numbers are old. hit: (LEAVES,) bool, leaves that a cone may
    meet. texels: (7, TEXELS) float, of one leaf; see `block_points`; chosen: (TEXELS,) int.
    points: (6, MANY) float, what is asked for next; owner: (MANY,) int, leaf TEXELS + texel, whose
    point it is. work: see `penumbra`
    """

    spheres: Floats
    middles: Floats
    means: Floats
    lit: Integers
    hit: Flags
    texels: Floats
    dots: Floats
    near: Flags
    chosen: Integers
    points: Floats
    owner: Integers
    work: Floats


@kernel
def new_hall():
    return Hall(
        np.empty((4, LEAVES)),
        np.empty((LEAVES, TEXELS, 3)),
        np.empty((LEAVES, TEXELS, 3)),
        np.zeros(LEAVES, np.uint8),
        np.empty(LEAVES, np.bool_),
        np.empty((7, TEXELS)),
        np.zeros((4, TEXELS)),
        np.empty(TEXELS, np.bool_),
        np.empty(TEXELS, np.int64),
        np.empty((6, MANY)),
        np.empty(MANY, np.int64),
        workplace(),
    )


@kernel
def _samples(sharpness, pane, sphere, leaf, apex, texel):
    """Samples along a texel's side. The edge of a spot is as soft as the image of the lens or of
    the pane, whichever is smaller; texels coarser than half of that are sampled finer, but less so
    where little of the lens is seen, and all of the spot is faint."""
    square = 0.0
    for k in range(3):
        square += (sphere[k, leaf] - apex[k]) ** 2
    whole = math.sqrt(square)
    behind = max(whole - sharpness[0, pane], 1e-9)
    soft = min(sharpness[1, pane] * behind, sharpness[2, pane] * whole)
    wanted = MOST_SAMPLES if soft * MOST_SAMPLES <= 2.0 * texel else 2.0 * texel / soft
    seen = min(sharpness[3, pane] * (whole / behind) ** 2, 1.0)
    return max(math.ceil(wanted * math.sqrt(seen)), 1)


@kernel
def _begin(lit, light, leaf, what):
    """Empty a leaf's light if it is still that of another hall."""
    if lit[leaf] & what == 0:
        lit[leaf] |= what
        for t in range(TEXELS):
            for k in range(3):
                light[leaf, t, k] = 0.0


@kernel
def _settle(beams, lamps, panes, pane, number, hall):
    """Light the first `number` points of a hall by a pane, each the middle of its texel."""
    if number == 0:
        return
    b = panes.beam[pane]
    lamp = beams.lamp[b]
    into_frame(hall.work, hall.points, number, beams.apex[b], beams.frame[b])
    illuminate(hall.work, number, panes.corners[pane], lamps, lamp, beams.share[b])
    red, green, blue = lamps.colour[lamp, 0], lamps.colour[lamp, 1], lamps.colour[lamp, 2]
    for n in range(number):
        leaf, t, value = hall.owner[n] // TEXELS, hall.owner[n] % TEXELS, hall.work[LUX, n]
        hall.lit[leaf] |= LIT if value != 0.0 else np.uint8(0)
        hall.middles[leaf, t, 0] += value * red
        hall.middles[leaf, t, 1] += value * green
        hall.middles[leaf, t, 2] += value * blue


@kernel
def _samples_of(texels, t, fine, points, first):
    """Spread fine x fine points evenly over texel t of a leaf, as if it were flat: in a texel a
    surface bends by microns. points: (6, MANY) float, written from `first` on."""
    right = t + 1 if t % LEAF < LEAF - 1 else t
    down = t + LEAF if t // LEAF < LEAF - 1 else t
    for k in range(3):
        across = (texels[k, right] - texels[k, right - 1]) / fine
        along = (texels[k, down] - texels[k, down - LEAF]) / fine
        corner = texels[k, t] - 0.5 * (fine - 1) * (across + along)
        for v in range(fine):
            for u in range(fine):
                points[k, first + v * fine + u] = corner + u * across + v * along
        for n in range(fine * fine):
            points[3 + k, first + n] = texels[3 + k, t]


@kernel
def _add_means(beams, lamps, panes, pane, leaf, number, fine, hall):
    """Add a pane's mean light over the chosen texels of a leaf, from fine x fine samples each."""
    b = panes.beam[pane]
    lamp = beams.lamp[b]
    each = fine * fine
    most = MANY // each
    for begin in range(0, number, most):
        end = min(begin + most, number)
        for n in range(begin, end):
            _samples_of(hall.texels, hall.chosen[n], fine, hall.points, (n - begin) * each)
        samples = np.int64((end - begin) * each)
        into_frame(hall.work, hall.points, samples, beams.apex[b], beams.frame[b])
        illuminate(hall.work, samples, panes.corners[pane], lamps, lamp, beams.share[b])
        for n in range(begin, end):
            value = 0.0
            for m in range((n - begin) * each, (n - begin + 1) * each):
                value += hall.work[LUX, m]
            hall.lit[leaf] |= LIT if value != 0.0 else np.uint8(0)
            for k in range(3):
                hall.means[leaf, hall.chosen[n], k] += value / each * lamps.colour[lamp, k]


@kernel
def light_hall(beams, lamps, panes, near, number, chart, row, column, hall):
    """Light a hall by the first `number` of the panes near it, in order.

    near: (number or more,) int; chart: kind, place, form, size of a texel's side (m), rows,
    columns; row, column: the hall's first texel.
    """
    kind, place, form, texel, rows, columns = chart
    hall.lit[:] = 0
    for n in range(number):
        pane = near[n]
        apex = beams.apex[panes.beam[pane]]
        waiting = np.int64(0)
        reached(panes.cones, panes.planes, pane, hall.spheres, 0.0, hall.hit)
        for leaf in range(LEAVES):
            if not hall.hit[leaf]:
                continue
            fine = _samples(panes.sharpness, pane, hall.spheres, leaf, apex, texel)
            more = 0.0 if fine == 1 else texel
            top, left = row + leaf // HALL * LEAF, column + leaf % HALL * LEAF
            block_points(kind, form, place, top, left, LEAF, hall.texels)
            for k in range(3):
                for t in range(TEXELS):
                    hall.dots[k, t] = hall.texels[k, t]
            reached(panes.cones, panes.planes, pane, hall.dots, more, hall.near)
            down, right = min(LEAF, rows - top), min(LEAF, columns - left)
            chosen = np.int64(0)
            for t in range(TEXELS):
                hall.chosen[chosen] = t
                on = hall.near[t] & (hall.texels[6, t] > 0.0)
                chosen += on & (t // LEAF < down) & (t % LEAF < right)
            if chosen == 0:
                continue
            if fine > 1:
                _settle(beams, lamps, panes, pane, waiting, hall)
                waiting = np.int64(0)
                _begin(hall.lit, hall.means, leaf, MEANS)
                _add_means(beams, lamps, panes, pane, leaf, chosen, fine, hall)
                continue
            _begin(hall.lit, hall.middles, leaf, MIDDLES)
            if waiting + chosen > MANY:
                _settle(beams, lamps, panes, pane, waiting, hall)
                waiting = np.int64(0)
            for m in range(chosen):
                t = hall.chosen[m]
                hall.owner[waiting + m] = leaf * TEXELS + t
                for k in range(6):
                    hall.points[k, waiting + m] = hall.texels[k, t]
            waiting += chosen
        _settle(beams, lamps, panes, pane, waiting, hall)
