"""The part of the lamps' light that no ball takes: straight to the room, with shadows in it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Flags, Floats, Integers, Lamps
from glint.kernels.geometry.bounding_cone import bounding_cone, may_meet
from glint.kernels.illuminance.occluder_coverage import (
    at_a_glance,
    covered,
    near_rim,
    ring_about,
    surrounds,
)
from glint.kernels.runtime.jit import kernel
from glint.kernels.runtime.threads import share_out
from glint.kernels.runtime.uncounted import uncounted
from glint.kernels.sources.lens_illuminance import from_lens_part
from glint.kernels.surfaces.equal_area import LEAF, Chart, point
from glint.kernels.surfaces.texel_tree import NODE, TexelTree, texel_tree


class Silhouettes(NamedTuple):
    """What the balls cover, seen from each lamp's lens centre: flat cut-outs in the room.

    edges: (e, 2, 3) float, m; around what is covered in one sense, around holes in the other
    start: (o + 1,) int, the edges of each cut-out
    lamp: (o,) int
    instant: (o,) int, which of several equally long instants it belongs to
    """

    edges: Floats
    start: Integers
    lamp: Integers
    instant: Integers


def together(parts: list[Silhouettes]) -> Silhouettes:
    """The cut-outs of several instants as one, in their order."""
    lengths = np.concatenate([np.diff(part.start) for part in parts])
    return Silhouettes(
        np.concatenate([part.edges for part in parts]),
        np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64),
        np.concatenate([part.lamp for part in parts]),
        np.repeat(np.arange(len(parts)), [len(part.lamp) for part in parts]),
    )


@kernel
def _in_lens_frame(silhouettes, lamps):
    """Edges in their lamp's frame with the covered side on their left, cones about shadows, and
    rings about rims."""
    edges = np.zeros(silhouettes.edges.shape)
    cones = np.zeros((silhouettes.lamp.shape[0], 8))
    rings = np.zeros((silhouettes.lamp.shape[0], 5))
    for o in range(silhouettes.lamp.shape[0]):
        lamp = silhouettes.lamp[o]
        begin, end = silhouettes.start[o], silhouettes.start[o + 1]
        turn = 0.0
        for e in range(begin, end):
            for side in range(2):
                for k in range(3):
                    along = 0.0
                    for m in range(3):
                        along += lamps.frame[lamp, k, m] * (
                            silhouettes.edges[e, side, m] - lamps.position[lamp, m]
                        )
                    edges[e, side, k] = along
            a, b = edges[e, 0], edges[e, 1]
            turn += (a[0] * b[1] - a[1] * b[0]) / (a[2] * b[2])
        if turn < 0.0:
            for e in range(begin, end):
                for k in range(3):
                    edges[e, 0, k], edges[e, 1, k] = edges[e, 1, k], edges[e, 0, k]
        corners = silhouettes.edges[begin:end, 0]
        bounding_cone(lamps.position[lamp], lamps.lens_radius[lamp], corners, end - begin, cones[o])
        ring_about(edges[begin:end], rings[o])
    return edges, cones, rings


@kernel
def lamp_cones(lamps):
    """A cone about everything that each lamp shines on."""
    cones = np.zeros((lamps.lumens.shape[0], 8))
    for lamp in range(cones.shape[0]):
        sine_half = lamps.sine_end[lamp]
        sine = 2.0 * sine_half * math.sqrt(max(1.0 - sine_half * sine_half, 0.0))
        if sine_half >= 0.7:
            cones[lamp, 6] = 2.0
            continue
        cosine = math.sqrt(1.0 - sine * sine)
        for k in range(3):
            axis = lamps.frame[lamp, 2, k]
            back = lamps.lens_radius[lamp] * cosine / sine
            cones[lamp, k] = lamps.position[lamp, k] - back * axis
            cones[lamp, 3 + k] = axis
        cones[lamp, 6], cones[lamp, 7] = sine, cosine
    return cones


@kernel
def _to_lens(lamps, lamp, x, y, z):
    """A point of the room in a lamp's frame."""
    frame, lens = lamps.frame[lamp], lamps.position[lamp]
    dx, dy, dz = x - lens[0], y - lens[1], z - lens[2]
    return (
        frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz,
        frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz,
        frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz,
    )


@kernel
def _shading(lamps, lamp, sphere, cut_outs, found):
    """The cut-outs that shade a lamp's light somewhere in a sphere: how many.

    cut_outs: edges, cones, rings, start and owner. found: written, which: (o,) int, the cut-outs;
    near: (e,) int, their edges that may cross the lens; state: (o, 2) int, where each one's edges
    lie in `near`, and how many there are, -1 where all of the sphere lies behind it; seen: (o, 3)
    float, emptied for `covered`.
    """
    edges, cones, rings, start, owner = cut_outs
    which, near, state, seen = found
    number = used = 0
    px, py, pz = _to_lens(lamps, lamp, sphere[0], sphere[1], sphere[2])
    for o in range(owner.shape[0]):
        if owner[o] != lamp or not may_meet(cones[o], sphere[0], sphere[1], sphere[2], sphere[3]):
            continue
        mine = edges[start[o] : start[o + 1]]
        glance = at_a_glance(rings[o], px, py, pz, sphere[3], lamps.lens_radius[lamp])
        if glance == 0:
            continue
        if glance == 1:
            which[number] = o
            state[number, 0], state[number, 1] = used, -1
            number += 1
            continue
        radius = lamps.lens_radius[lamp]
        rim = near_rim(mine, rings[o], px, py, pz, sphere[3], radius, near[used:])
        if rim < 0 or (rim == 0 and not surrounds(mine, px, py, pz)):
            continue
        which[number] = o
        state[number, 0], state[number, 1] = used, rim if rim > 0 else -1
        seen[number, 0] = -1.0
        used += rim
        number += 1
    return number


@kernel
def _all_dark(instant, instants, which, state, number):
    """Whether the lamp is hidden from a whole sphere at every instant; see `_shading`."""
    dark, last = 0, -1
    for n in range(number):
        if state[n, 1] < 0 and instant[which[n]] != last:
            last = instant[which[n]]
            dark += 1
    return dark == instants


@kernel
def _from_lamp(
    lens,
    frame,
    table,
    spread,
    planes,
    sine_end,
    radius,
    x,
    y,
    z,
    nx,
    ny,
    nz,
    edges,
    rings,
    start,
    instant,
    instants,
    which,
    state,
    near,
    seen,
    number,
):
    """A lamp's illuminance at a point, the mean over all instants, with `number` cut-outs.

    The first seven arguments are the lamp's own rows of Lamps, which travel lighter than all.
    """
    dx, dy, dz = x - lens[0], y - lens[1], z - lens[2]
    px = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
    py = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
    pz = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
    if pz <= 0.0:
        return 0.0
    ux = frame[0, 0] * nx + frame[0, 1] * ny + frame[0, 2] * nz
    uy = frame[1, 0] * nx + frame[1, 1] * ny + frame[1, 2] * nz
    uz = frame[2, 0] * nx + frame[2, 1] * ny + frame[2, 2] * nz
    total = 0.0
    n = 0
    for k in range(instants):
        left, sx, sy = 1.0, 0.0, 0.0
        while n < number and instant[which[n]] == k:
            if state[n, 1] < 0:
                left = 0.0
            elif left > 0.0:
                o, first = which[n], state[n, 0]
                share, hx, hy = covered(
                    edges[start[o] : start[o + 1]],
                    rings[o],
                    near[first:],
                    state[n, 1],
                    px,
                    py,
                    pz,
                    radius,
                    seen[n],
                )
                # First moments of the parts of the lens still seen.
                sx, sy = sx - share * hx, sy - share * hy
                left -= share
            n += 1
        if left > 1e-9:
            total += from_lens_part(
                table,
                spread,
                planes,
                sine_end,
                radius,
                px,
                py,
                pz,
                ux,
                uy,
                uz,
                left,
                sx / left,
                sy / left,
            )
        if number == 0:
            return total
    return total / instants


@kernel
def _none_meets(cones, sphere):
    """Whether no cone may meet a sphere."""
    for o in range(cones.shape[0]):
        if may_meet(cones[o], sphere[0], sphere[1], sphere[2], sphere[3]):
            return False
    return True


@kernel
def _light_directly(first, last, given):
    """Light the nodes from first to last in order, leaf by leaf, each by itself."""
    lamps, reaches, shadows, chart, blocks, shaded_only, ambient, lux, touched = uncounted(given)
    edges, cones, rings, start, owner, instant, instants = shadows
    cut_outs = (edges, cones, rings, start, owner)
    kind, size, place, form = chart
    nodes, node, leaf, inside = blocks
    which = np.empty(owner.shape[0], np.int64)
    state = np.empty((owner.shape[0], 2), np.int64)
    near = np.empty(edges.shape[0], np.int64)
    seen = np.empty((owner.shape[0], 3))
    found = (which, near, state, seen)
    for job in range(first, last):
        r0, c0 = nodes[job] // node.shape[1], nodes[job] % node.shape[1]
        if shaded_only and _none_meets(cones, node[r0, c0]):
            continue
        for n in range(NODE * NODE):
            r, c = r0 * NODE + n // NODE, c0 * NODE + n % NODE
            s = leaf[r, c]
            rows = range(r * LEAF, min((r + 1) * LEAF, size[0]))
            columns = range(c * LEAF, min((c + 1) * LEAF, size[1]))
            # The first lamp that is shaded here is looked at once, and remembered.
            looked_at, number = -1, 0
            if shaded_only:
                for lamp in range(lamps.lumens.shape[0]):
                    if number == 0 and may_meet(reaches[lamp], s[0], s[1], s[2], s[3]):
                        looked_at = lamp
                        number = _shading(lamps, lamp, s, cut_outs, found)
                if number == 0:
                    continue
                touched[r, c] = True
                for row in rows:
                    for column in columns:
                        for k in range(3):
                            lux[row, column, k] = ambient[k] if inside[row, column] else 0.0
            for lamp in range(lamps.lumens.shape[0]):
                if not may_meet(reaches[lamp], s[0], s[1], s[2], s[3]):
                    continue
                if lamp != looked_at:
                    number = _shading(lamps, lamp, s, cut_outs, found)
                looked_at = -1
                if number > 0 and _all_dark(instant, instants, which, state, number):
                    continue
                for row in rows:
                    for column in columns:
                        on, x, y, z, nx, ny, nz = point(
                            kind, form, place[0] + column * place[1], place[2] + row * place[3]
                        )
                        if not on:
                            continue
                        value = _from_lamp(
                            lamps.position[lamp],
                            lamps.frame[lamp],
                            lamps.candela[lamp],
                            lamps.spread[lamp],
                            lamps.planes[lamp],
                            lamps.sine_end[lamp],
                            lamps.lens_radius[lamp],
                            x,
                            y,
                            z,
                            nx,
                            ny,
                            nz,
                            edges,
                            rings,
                            start,
                            instant,
                            instants,
                            which,
                            state,
                            near,
                            seen,
                            number,
                        )
                        for k in range(3):
                            lux[row, column, k] += value * lamps.colour[lamp, k]


def add_direct_light(
    lamps: Lamps,
    silhouettes: Silhouettes,
    chart: Chart,
    lux: np.ndarray,
    blocks: TexelTree | None = None,
) -> None:
    """Add the lamps' direct light, less the balls' shadows, to a map.

    The cut-outs must not overlap as seen from their lamp at one instant. Penumbrae are those of
    a flat cut-out at the ball's centre. lux: (h, w, 3) float32, linear RGB, lx; changed in place.
    """
    blocks = texel_tree(chart) if blocks is None else blocks
    touched = np.zeros(blocks.leaf.shape[:2], np.bool_)
    _run(lamps, silhouettes, chart, blocks, False, np.zeros(3), lux, touched)


def shade(
    lamps: Lamps,
    silhouettes: Silhouettes,
    chart: Chart,
    blocks: TexelTree,
    ambient: Floats,
    lux: np.ndarray,
    touched: Flags,
) -> None:
    """Work out anew, with shadows, the leaves that a shadow may reach; the others stay.

    lux: (h, w, 3) float32, lx: ambient and direct. ambient: (3,) float, lx.
    touched: (R, C) bool, a leaf each; those worked out anew are set, the others left.
    """
    _run(lamps, silhouettes, chart, blocks, True, np.asarray(ambient, float), lux, touched)


def _run(
    lamps: Lamps,
    silhouettes: Silhouettes,
    chart: Chart,
    blocks: TexelTree,
    shaded_only: bool,
    ambient: Floats,
    lux: np.ndarray,
    touched: Flags,
) -> None:
    edges, cones, rings = _in_lens_frame(silhouettes, lamps)
    instants = int(silhouettes.instant.max()) + 1 if len(silhouettes.instant) else 1
    shadows = (
        edges,
        cones,
        rings,
        silhouettes.start,
        silhouettes.lamp,
        silhouettes.instant,
        instants,
    )
    form = (chart.kind, chart.size, np.ascontiguousarray(chart.place), chart.form)
    parts = (blocks.nodes, blocks.node, blocks.leaf, blocks.inside)
    given = (lamps, lamp_cones(lamps), shadows, form, parts, shaded_only, ambient, lux, touched)
    share_out(len(blocks.nodes), _light_directly, given)
