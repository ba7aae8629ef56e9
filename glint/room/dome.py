"""The dome: a spherical cap on an upright wall, and the floor."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar, Literal

from pydantic import Field

from glint.room.table import RoundTable, Share, below

if TYPE_CHECKING:
    from glint.kernels.arrays import Floats
    from glint.room.room import Room


class DomeTable(RoundTable):
    """A spherical cap of base radius `radius_m` and rise `rise_m` on an upright wall, with the
    struts of a geodesic frame if it has a frequency."""

    SURFACES: ClassVar[tuple[str, ...]] = ("dome", "wall", "floor")
    SHARES: ClassVar[dict[str, Share]] = {"rise_m": Share("radius_m", 0.2, 1.0)}
    BESIDE: ClassVar[dict[str, tuple[str, str]]] = {
        "open_share": ("frequency", "it is the triangles of the frame that are open")
    }
    RISE: ClassVar[float] = 1.0
    WALL: ClassVar[float] = 0.0

    kind: Literal["dome"] = Field(default="dome", title="a spherical cap on an upright wall")
    frequency: int = Field(
        default=0, ge=0, le=16, title="frequency of a geodesic frame; 0 for none"
    )
    tube_mm: float = Field(default=28.0, ge=1.0, le=500.0, title="diameter of the frame's struts")
    open_share: float = Field(
        default=0.0, ge=0.0, le=1.0, title="share of the frame's triangles without fabric"
    )
    seed: int = Field(default=7, ge=0, le=2**53, title="seed of which triangles are open")

    def ceiling(self, distance: float) -> float:
        """As in RoomTable; the sphere's radius is (radius² + rise²) / (2 rise)."""
        sphere = (self.radius_m**2 + self.rise_m**2) / (2.0 * self.rise_m)
        below_top = sphere - math.sqrt(max(sphere**2 - distance**2, 0.0))
        return self.height - below_top

    def build(self, fabric: Floats, floor: Floats) -> Room:
        """As in RoomTable."""
        return dome(
            self.radius_m,
            self.rise_m,
            self.wall_m,
            fabric,
            floor,
            self.ambient_lux,
            self.frequency,
            self.tube_mm / 1000.0,
            self.open_share,
            self.seed,
        )


def dome(
    radius: float,
    rise: float,
    wall: float,
    fabric: Floats,
    floor: Floats,
    ambient: float,
    frequency: int = 0,
    tube: float = 0.0,
    open_share: float = 0.0,
    seed: int = 7,
) -> Room:
    """A dome of a base radius and a rise (m) on an upright wall (m), and its floor at z = 0.

    fabric, floor: (3,) float, diffuse reflectance in linear RGB. ambient: lx. frequency, tube
    (m): of the geodesic frame; frequency 0 for none. open_share: of its triangles without fabric.
    """
    import numpy as np

    from glint.room.geodesic_frame import Frame
    from glint.room.room import Room
    from glint.room.surfaces.cap import Cap

    sphere = (radius * radius + rise * rise) / (2.0 * rise)
    centre = np.array([0, 0, wall + rise - sphere])
    cap = Cap(name="dome", reflectance=fabric, centre=centre, radius=sphere, height=rise)
    frame = None
    if frequency:
        frame = Frame(frequency, tube, open_share, (sphere - rise) / sphere, seed)
        above = frame.centres[:, 2] > frame.lowest
        # A flat cap over large triangles has the middle of none above its rim: none is left off.
        cap = replace(cap, open=float(frame.bare[above].mean()) if above.any() else 0.0)
    painters = {} if frame is None else {"dome": frame.paint}
    surfaces = (cap, *below(radius, wall, fabric, floor))
    return Room(surfaces, np.full(3, ambient), frame, painters=painters)
