"""The light of one pane on one hall of a chart: texel by texel, leaf by leaf."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.optics.arrays import Flags, Floats, Integers
from glint.optics.blocks import HALL
from glint.optics.chart import LEAF, leaf_points
from glint.optics.compile import inlined, kernel
from glint.optics.hull import reached
from glint.optics.penumbra import LUX, MANY, illuminate, workplace

LEAVES = HALL * HALL
TEXELS = LEAF * LEAF

POINTS = TEXELS + (LEAF + 1) ** 2
"""Points of a leaf that are looked at: the middles of its texels, then their corners."""

MOST_SAMPLES = 6
"""Most samples along a texel's side where a spot is sharper than the texels."""

SMOOTH = 1.0
"""Samples along a texel's side, as `_samples` wants them, that middle and corners stand for."""

RIM = 1.0
"""Corners of texels lie outside the spheres about their middles by up to this times a texel's side:
half a diagonal, on a half-sphere's rim stretched by the square root of two."""

AT_POINTS, AS_MEANS, LIT = np.uint8(1), np.uint8(2), np.uint8(4)
"""Of a leaf: that its light at points is of this hall; that its means over texels are; that there
is any. Light may be below zero: parts of a twinkle are."""


class Hall(NamedTuple):
    """What a worker writes on while it lights a hall; `new_hall` makes one.

    spheres: (4, LEAVES) float, m, about each leaf. lux: (LEAVES, POINTS, 3) float32, lx, light at
    points; means: (LEAVES, TEXELS, 3) float32, lx, means over texels; state: (LEAVES,) uint8,
    AT_POINTS, AS_MEANS and LIT. hit: (LEAVES,) bool, leaves that a pane's light may reach.
    points: (7, POINTS) float, of one leaf, see `leaf_points`, in row 3 their radius, 0; near:
    (POINTS,) bool; chosen: (POINTS,) int. samples: (7, MANY) float, points within texels; every:
    (MANY,) int, their numbers. work: see `penumbra`
    """

    spheres: Floats
    lux: np.ndarray
    means: np.ndarray
    state: np.ndarray
    hit: Flags
    points: Floats
    near: Flags
    chosen: Integers
    samples: Floats
    every: Integers
    work: Floats


@kernel
def new_hall():
    return Hall(
        np.empty((4, LEAVES)),
        np.empty((LEAVES, POINTS, 3), np.float32),
        np.empty((LEAVES, TEXELS, 3), np.float32),
        np.zeros(LEAVES, np.uint8),
        np.empty(LEAVES, np.bool_),
        np.zeros((7, POINTS)),
        np.empty(POINTS, np.bool_),
        np.empty(POINTS, np.int64),
        np.zeros((7, MANY)),
        np.arange(MANY),
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
    wanted *= math.sqrt(seen)
    return 1 if wanted <= SMOOTH else max(math.ceil(wanted), 2)


@kernel
def _begin(state, light, leaf, what):
    """Empty a leaf's light if it is still that of another hall."""
    if state[leaf] & what == 0:
        state[leaf] |= what
        for t in range(light.shape[1]):
            for k in range(3):
                light[leaf, t, k] = 0.0


@inlined
def _add_points(beams, lamps, panes, pane, leaf, number, hall):
    """Add a pane's light at the chosen points of a leaf."""
    b = panes.beam[pane]
    lamp, work = beams.lamp[b], hall.work
    apex, frame, corners = beams.apex[b], beams.frame[b], panes.corners[pane]
    illuminate(
        work, hall.points, hall.chosen, number, apex, frame, corners, lamps, lamp, beams.share[b]
    )
    red, green, blue = lamps.colour[lamp, 0], lamps.colour[lamp, 1], lamps.colour[lamp, 2]
    some = False
    for n in range(number):
        t, value = hall.chosen[n], work[LUX, n]
        some |= value != 0.0
        hall.lux[leaf, t, 0] += value * red
        hall.lux[leaf, t, 1] += value * green
        hall.lux[leaf, t, 2] += value * blue
    if some:
        hall.state[leaf] |= LIT


@kernel
def _samples_of(points, t, fine, samples, first):
    """Spread fine x fine points evenly over texel t of a leaf, as if it were flat: in a texel a
    surface bends by microns. samples: (7, MANY) float, written from `first` on."""
    corner = TEXELS + t // LEAF * (LEAF + 1) + t % LEAF
    for k in range(3):
        start = points[k, corner]
        across = (points[k, corner + 1] - start) / fine
        along = (points[k, corner + LEAF + 1] - start) / fine
        for v in range(fine):
            for u in range(fine):
                samples[k, first + v * fine + u] = start + (u + 0.5) * across + (v + 0.5) * along
        for n in range(fine * fine):
            samples[4 + k, first + n] = points[4 + k, t]


@kernel
def _add_means(beams, lamps, panes, pane, leaf, number, fine, hall):
    """Add a pane's mean light over the chosen texels of a leaf, from fine x fine samples each."""
    b = panes.beam[pane]
    lamp, share = beams.lamp[b], beams.share[b]
    apex, frame, corners = beams.apex[b], beams.frame[b], panes.corners[pane]
    each = fine * fine
    most = MANY // each
    for begin in range(0, number, most):
        end = min(begin + most, number)
        for n in range(begin, end):
            _samples_of(hall.points, hall.chosen[n], fine, hall.samples, (n - begin) * each)
        samples = np.int64((end - begin) * each)
        illuminate(
            hall.work, hall.samples, hall.every, samples, apex, frame, corners, lamps, lamp, share
        )
        for n in range(begin, end):
            value = 0.0
            for m in range((n - begin) * each, (n - begin + 1) * each):
                value += hall.work[LUX, m]
            hall.state[leaf] |= LIT if value != 0.0 else np.uint8(0)
            for k in range(3):
                hall.means[leaf, hall.chosen[n], k] += value / each * lamps.colour[lamp, k]


@inlined
def light_hall(beams, lamps, panes, near, number, chart, row, column, hall):
    """Light a hall by the first `number` of the panes near it, in order.

    near: (number or more,) int; chart: kind, place, form, size of a texel's side (m); row, column:
    the hall's first texel.
    """
    kind, place, form, texel = chart
    hall.state[:] = 0
    for n in range(number):
        pane = near[n]
        apex = beams.apex[panes.beam[pane]]
        reached(panes.cones, panes.planes, pane, hall.spheres, RIM * texel, hall.hit)
        for leaf in range(LEAVES):
            if not hall.hit[leaf]:
                continue
            fine = _samples(panes.sharpness, pane, hall.spheres, leaf, apex, texel)
            top, left = row + leaf // HALL * LEAF, column + leaf % HALL * LEAF
            leaf_points(kind, form, place, top, left, hall.points)
            more = 0.0 if fine == 1 else RIM * texel
            reached(panes.cones, panes.planes, pane, hall.points, more, hall.near)
            chosen = np.int64(0)
            for t in range(POINTS if fine == 1 else TEXELS):
                hall.chosen[chosen] = t
                chosen += hall.near[t]
            if chosen == 0:
                continue
            if fine == 1:
                _begin(hall.state, hall.lux, leaf, AT_POINTS)
                _add_points(beams, lamps, panes, pane, leaf, chosen, hall)
            else:
                _begin(hall.state, hall.means, leaf, AS_MEANS)
                _add_means(beams, lamps, panes, pane, leaf, chosen, fine, hall)
