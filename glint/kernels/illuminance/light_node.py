"""The light of many quads on one node of a chart: leaf by leaf, quad by quad."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers
from glint.kernels.illuminance.beam_bounds import reached, within
from glint.kernels.illuminance.penumbra import LUX, MANY, illuminate, workplace
from glint.kernels.runtime.jit import inlined, kernel
from glint.kernels.surfaces.equal_area import LEAF, leaf_points
from glint.kernels.surfaces.texel_means import add_means, points_to_means
from glint.kernels.surfaces.texel_tree import NODE

LEAVES = NODE * NODE
"""As many as a whole number has bits."""

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

MOST_QUADS = 1024
"""WindowQuads that are looked at together."""


class Scratch(NamedTuple):
    """What a worker writes on while it lights a node; `new_scratch` makes one.

    spheres: (4, LEAVES) float, m, about each leaf; hit: (LEAVES,) bool, those that a quad's light
    may reach; hits: (MOST_QUADS,) uint64, the same of each quad, a bit a leaf.
    Of one leaf: points: (7, POINTS) float, see `leaf_points`; near: (POINTS,) bool; chosen:
    (POINTS,) int. lux: (POINTS,) float, lx, light of one colour at points; means: (TEXELS,) float,
    lx, what is known as means over texels. samples: (7, MANY) float, points within texels; every:
    (MANY,) int, their numbers. work: see `penumbra`
    """

    spheres: Floats
    hit: Flags
    hits: np.ndarray
    points: Floats
    near: Flags
    chosen: Integers
    lux: Floats
    means: Floats
    samples: Floats
    every: Integers
    work: Floats


@kernel
def new_scratch():
    return Scratch(
        np.empty((4, LEAVES)),
        np.empty(LEAVES, np.bool_),
        np.empty(MOST_QUADS, np.uint64),
        np.zeros((7, POINTS)),
        np.empty(POINTS, np.bool_),
        np.empty(POINTS, np.int64),
        np.zeros(POINTS),
        np.zeros(TEXELS),
        np.zeros((7, MANY)),
        np.arange(MANY),
        workplace(),
    )


@kernel
def _samples(sharpness, quad, sphere, leaf, apex, texel):
    """Samples along a texel's side. The edge of a spot is as soft as the image of the lens or of
    the quad, whichever is smaller; texels coarser than half of that are sampled finer, but less so
    where little of the lens is seen, and all of the spot is faint."""
    square = 0.0
    for k in range(3):
        square += (sphere[k, leaf] - apex[k]) ** 2
    whole = math.sqrt(square)
    behind = max(whole - sharpness[quad, 0], 1e-9)
    soft = min(sharpness[quad, 1] * behind, sharpness[quad, 2] * whole)
    wanted = MOST_SAMPLES if soft * MOST_SAMPLES <= 2.0 * texel else 2.0 * texel / soft
    seen = min(sharpness[quad, 3] * (whole / behind) ** 2, 1.0)
    wanted *= math.sqrt(seen)
    return 1 if wanted <= SMOOTH else max(math.ceil(wanted), 2)


@inlined
def _add_points(beams, lamps, quads, quad, number, scratch):
    """Add a quad's light at the chosen points of a leaf; whether there is any."""
    b = quads.beam[quad]
    apex, frame, corners = beams.apex[b], beams.frame[b], quads.corners[quad]
    lamp, share = beams.lamp[b], beams.share[b]
    illuminate(
        scratch.work,
        scratch.points,
        scratch.chosen,
        number,
        apex,
        frame,
        corners,
        lamps,
        lamp,
        share,
    )
    some, light, chosen, lux = False, scratch.lux, scratch.chosen, scratch.work[LUX]
    for n in range(number):
        value = lux[n]
        some |= value != 0.0
        light[np.uint64(chosen[n])] += value
    return some


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


@inlined
def _add_means(beams, lamps, quads, quad, number, fine, scratch):
    """Add a quad's mean light over the chosen texels of a leaf, from fine x fine samples each;
    whether there is any."""
    b = quads.beam[quad]
    apex, frame, corners = beams.apex[b], beams.frame[b], quads.corners[quad]
    lamp, share = beams.lamp[b], beams.share[b]
    each = fine * fine
    most = MANY // each
    some = False
    for begin in range(0, number, most):
        end = min(begin + most, number)
        for n in range(begin, end):
            _samples_of(
                scratch.points, scratch.chosen[n], fine, scratch.samples, (n - begin) * each
            )
        samples = np.int64((end - begin) * each)
        illuminate(
            scratch.work,
            scratch.samples,
            scratch.every,
            samples,
            apex,
            frame,
            corners,
            lamps,
            lamp,
            share,
        )
        for n in range(begin, end):
            value = 0.0
            for m in range((n - begin) * each, (n - begin + 1) * each):
                value += scratch.work[LUX, m]
            some |= value != 0.0
            scratch.means[scratch.chosen[n]] += value / each
    return some


@kernel
def _put_down(colour, light, means, at_points, as_means, inside, r, c, lux):
    """Put what one lamp gives a leaf on the map, and empty the scratch of it."""
    if at_points:
        points_to_means(light, means)
        for t in range(POINTS):
            light[t] = 0.0
    if at_points or as_means:
        add_means(means, colour, r, c, inside, lux)
        for t in range(TEXELS):
            means[t] = 0.0


@inlined
def light_node(beams, lamps, quads, near, number, chart, r0, c0, scratch, inside, lux, touched):
    """Light a node by the first `number` of the quads near it, in order.

    near: (number or more,) int; chart: kind, place, form, size of a texel's side (m); r0, c0: the
    node's first leaf; scratch.spheres: those of its leaves. inside: (h, w) bool, texels on the
    surface; lux: (h, 3 w) float32, lx, added to; touched: (R, C) bool, set for leaves that light
    reaches.
    """
    kind, place, form, texel = chart
    # Read once: a field of a tuple is counted each time.
    hit, hits, points, beyond, chosen = (
        scratch.hit,
        scratch.hits,
        scratch.points,
        scratch.near,
        scratch.chosen,
    )
    light, means, spheres, sharpness = scratch.lux, scratch.means, scratch.spheres, quads.sharpness
    cones, planes, beam, colour = quads.cones, quads.planes, quads.beam, lamps.colour
    lamp_of, apex, one = beams.lamp, beams.apex, np.uint64(1)
    for begin in range(0, number, MOST_QUADS):
        count = min(number - begin, MOST_QUADS)
        every = np.uint64(0)
        for n in range(count):
            reached(cones, planes, near[begin + n], spheres, RIM * texel, hit)
            bits = np.uint64(0)
            for leaf in range(LEAVES):
                bits |= np.uint64(hit[leaf]) << np.uint64(leaf)
            hits[n] = bits
            every |= bits
        for leaf in range(LEAVES):
            bit = np.uint64(leaf)
            if (every >> bit) & one == 0:
                continue
            r, c = r0 + leaf // NODE, c0 + leaf % NODE
            lamp = np.int64(-1)
            at_points = as_means = False
            for n in range(count):
                if (hits[n] >> bit) & one == 0:
                    continue
                quad = near[begin + n]
                b = beam[quad]
                if lamp_of[b] != lamp:
                    if lamp < 0:
                        leaf_points(kind, form, place, r * LEAF, c * LEAF, points)
                    else:
                        _put_down(
                            colour[lamp], light, means, at_points, as_means, inside, r, c, lux
                        )
                    lamp, at_points, as_means = lamp_of[b], False, False
                fine = _samples(sharpness, quad, spheres, leaf, apex[b], texel)
                within(planes, quad, points, 0.0 if fine == 1 else RIM * texel, beyond)
                some = np.int64(0)
                for t in range(POINTS if fine == 1 else TEXELS):
                    chosen[some] = t
                    some += beyond[t]
                if some == 0:
                    continue
                if fine == 1:
                    at_points |= _add_points(beams, lamps, quads, quad, some, scratch)
                else:
                    as_means |= _add_means(beams, lamps, quads, quad, some, fine, scratch)
                if at_points | as_means:
                    touched[r, c] = True
            if lamp >= 0:
                _put_down(colour[lamp], light, means, at_points, as_means, inside, r, c, lux)
