"""All spots of a pose as arrays: where each lies, how large, how bright, and how fast it moves."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers, Lamps
from glint.kernels.illuminance.probe import peaks
from glint.lighting.prepared import lighting_of
from glint.lighting.spot_velocity import chain_velocity
from glint.lighting.window_moments import Moments, moments
from glint.room.ray_cast import RayHits, cast_rays
from glint.room.room import Room
from glint.scene.scene import Pose


class Spots(NamedTuple):
    """One row a spot, which is one lamp's light over one chain of tiles.

    key: (s, 1 + k) int, lamp and chain; the same spot has the same key in every pose
    bounces: (s,) int, mirrors in the chain
    surface: (s,) int, number in Room.surfaces, of the spot's middle
    point: (s, 3) float, m, of its middle
    area: (s,) float, m**2; peak: (s,) float, lx; lumens: (s,) float, lm
    velocity: (s, 3) float, m/s, along the surface
    """

    key: Integers
    bounces: Integers
    surface: Integers
    point: Floats
    area: Floats
    peak: Floats
    lumens: Floats
    velocity: Floats

    @property
    def speed(self) -> Floats:
        """How fast it moves, m/s: (s,) float."""
        return np.linalg.norm(self.velocity, axis=1)

    @property
    def diameter(self) -> Floats:
        """Diameter of the disc of the same area, m: (s,) float."""
        return 2.0 * np.sqrt(self.area / math.pi)


def spots_of(pose: Pose, found: Beams) -> Spots:
    """The spots that the beams of a pose make.

    The middle of a spot is where the line from the mirrored lens centre through the middle of
    its window lands. Area: that of the second moments (ISO 11146-1), as in
    spot_moments, in closed form: a point of the spot is (1 + m) w - m s for a point w of the
    window, as seen from the lens centre, and s of the lens, with m + 1 the ratio of the distances;
    so the moments of window and lens add up. Candela are taken as even over one window, and the
    surface as flat over one spot. Peak: the highest on a fine grid over the spot. Speed: the exact
    derivative of the middle's place.
    """
    lamps = lighting_of(pose.scene).lamp_arrays
    ordered, start, key = _grouped(found)
    first = start[:-1]
    if not len(first):
        nothing, still = np.zeros(0), np.zeros((0, 3))
        whole = np.zeros(0, np.int64)
        return Spots(key, whole, whole, still, nothing, nothing, nothing, still)
    window, near, chief, met, sunk, area, peak = patches(pose.scene.room, lamps, ordered, start)
    moving, carried = chain_velocity(pose, ordered, first, window.middle)
    stretch = (near + met.distance) / near
    # P = A + s (W - A); s changes so that P stays on the surface.
    velocity = moving + stretch[:, None] * (carried - moving)
    leaving = np.sum(velocity * met.normal, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        velocity = velocity + (leaving / sunk)[:, None] * chief
    return Spots(
        key=key,
        bounces=ordered.bounces[first],
        surface=met.surface,
        point=met.point,
        area=area,
        peak=peak,
        lumens=np.add.reduceat(ordered.lumens, first),
        velocity=velocity,
    )


class Patches(NamedTuple):
    """Where the light of groups of beams lands, and how much of it: one row a group.

    window: middles and spreads of their windows; near: (s,) float, m, from apex to the middle
    chief: (s, 3) float, unit, from the apex through the middle; met: where that lands
    sunk: (s,) float, cosine of its angle with the normal there
    area: (s,) float, m**2; peak: (s,) float, lx
    """

    window: Moments
    near: Floats
    chief: Floats
    met: RayHits
    sunk: Floats
    area: Floats
    peak: Floats


def patches(room: Room, lamps: Lamps, ordered: Beams, start: Integers) -> Patches:
    """The patches that groups of beams light; see `spots_of`.

    ordered: sorted by group, at least one; start: (s + 1,) int, the first beam of each and one past
    the last. All beams of a group have one apex.
    """
    first = start[:-1]
    window = moments(ordered, start)
    towards = window.middle - ordered.apex[first]
    near = np.linalg.norm(towards, axis=1)
    chief = towards / near[:, None]
    met = cast_rays(room, window.middle, chief)
    sunk = -np.sum(chief * met.normal, axis=1)
    spread = _spread(ordered, first, lamps.lens_radius, window, chief, near, met)
    determinant = spread[:, 0, 0] * spread[:, 1, 1] - spread[:, 0, 1] ** 2
    axes = 2.0 * np.sqrt(np.einsum("saa->sa", spread))[..., None] * window.across
    with np.errstate(divide="ignore", invalid="ignore"):
        area = 4.0 * math.pi * np.sqrt(np.maximum(determinant, 0.0)) / sunk
        # Carried along the light onto the surface.
        rise = np.einsum("sak,sk->sa", axes, met.normal) / sunk[:, None]
    axes = axes + rise[..., None] * chief[:, None]
    peak = peaks(ordered, lamps, start, np.hstack([met.point, met.normal]), axes)
    return Patches(window, near, chief, met, sunk, area, peak)


def _grouped(found: Beams) -> tuple[Beams, Integers, Integers]:
    """Beams sorted by spot, the first beam of each and one past the last, and the spots' keys."""
    columns = np.column_stack([found.lamp, found.chain])
    order = np.lexsort(columns.T[::-1])
    columns = columns[order]
    new = np.ones(len(columns), bool)
    new[1:] = (columns[1:] != columns[:-1]).any(axis=1)
    start = np.append(np.flatnonzero(new), len(columns)).astype(np.int64)
    return Beams._make(column[order] for column in found), start, columns[new]


def _spread(
    beams: Beams,
    first: Integers,
    lens_radius: Floats,
    window: Moments,
    chief: Floats,
    near: Floats,
    met: RayHits,
) -> Floats:
    """Second moments (s, 2, 2) of the spots across their light, m**2."""
    magnified = (met.distance / near)[:, None, None]
    axis = beams.frame[first, 2]
    lens = np.eye(3) - axis[:, :, None] * axis[:, None, :]
    lens = lens * (0.25 * lens_radius[beams.lamp[first]] ** 2)[:, None, None]
    lens = window.across @ lens @ window.across.transpose(0, 2, 1)
    return (1.0 + magnified) ** 2 * window.spread + magnified**2 * lens
