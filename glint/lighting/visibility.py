"""Which spots are visible: the one definition that measures, search and stock all use."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from glint.kernels.arrays import Flags, Floats
from glint.lighting.energy_balance import Audit, audit
from glint.lighting.spots import Spots
from glint.lighting.strings.balance import StringAudit, audit_strings
from glint.photometry.colour import LUMINANCE
from glint.room.surfaces.cap import Cap
from glint.scene.scene import Pose, Scene

DARKEST = 1e-12
"""Where nothing else shines at all, what is below this, lx, still counts as dark."""

QUICK_TEXELS = 128
"""Width of the maps that an ambient is found from in a hurry: it is right to 1 %."""


def ambient_of(scene: Scene, audits: Sequence[Audit], strings: Sequence[StringAudit] = ()) -> float:
    """Illuminance that is always there, lx: the room's own, what fabric and floor throw back, and
    what strings spread over what is overhead.

    audits: one a lamp, of any pose; strings: one a string.
    """
    above = scene.room.overhead
    spread = sum(on_surface(strings, name) for name in above.names) / above.closed_area
    return thrown_back(scene, audits, strings) + float(spread @ LUMINANCE)


def thrown_back(scene: Scene, audits: Sequence[Audit], strings: Sequence[StringAudit]) -> float:
    """The room's own light and what fabric and floor throw back, lx.

    audits: one a lamp, or none for the lamps off; strings: one a string, or none
    """
    room = scene.room
    landed: dict[str, Floats] = {s.name: on_surface(strings, s.name) for s in room.surfaces}
    for row, lamp in zip(audits, scene.lamps if audits else (), strict=True):
        for name in landed:
            landed[name] = landed[name] + lamp.colour * (row.landed[name] + row.direct[name])
    return float((room.ambient + room.interreflected(landed)) @ LUMINANCE)


def on_surface(strings: Sequence[StringAudit], surface: str) -> Floats:
    """Lumens that strings send to a surface, linear RGB as if white: (3,) float."""
    return np.full(3, sum(row.landed[surface] + row.glow[surface] for row in strings))


def quick_ambient(pose: Pose) -> float:
    """The same from a coarse audit of one pose."""
    strings = audit_strings(pose, QUICK_TEXELS)
    return ambient_of(pose.scene, audit(pose, QUICK_TEXELS), strings)


def least_lux(scene: Scene, ambient: float) -> float:
    """What a peak must reach to be visible, lx: visible_contrast times the ambient."""
    return max(scene.visible_contrast * ambient, DARKEST)


def visible(scene: Scene, spots: Spots, ambient: float) -> Spots:
    """The visible ones: bright enough, and their middle not in an opening."""
    shown = spots.peak >= least_lux(scene, ambient)
    for number in range(len(scene.room.surfaces)):
        here = np.flatnonzero(shown & (spots.surface == number))
        shown[here] = ~bare(scene, number, spots.point[here])
    return Spots._make(column[shown] for column in spots)


def bare(scene: Scene, surface: int, points: Floats) -> Flags:
    """Whether points (n, 3), m, of a surface lie where it carries nothing: (n,) bool."""
    room = scene.room
    one = room.surfaces[surface]
    if isinstance(one, Cap) and room.frame is not None and one.open < 1.0:
        return room.frame.is_bare(points - one.centre)
    return np.full(len(points), one.open >= 1.0)


def bare_overhead(scene: Scene, points: Floats) -> Flags:
    """The same of points (n, 3), m, of all that is overhead."""
    which = scene.room.overhead.parts_of(points)
    found = np.zeros(len(points), bool)
    for number in range(scene.room.above):
        found[which == number] = bare(scene, number, points[which == number])
    return found
