"""One body on its cord, and where it is at any moment."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from glint.kernels.arrays import Floats
from glint.scene.pendulum import Swing
from glint.scene.torsion import Twist
from glint.schema.tables import HangTable, MotionTable, ShapeTable, TileTable
from glint.shape.body import Body


@dataclass(frozen=True, eq=False)
class Ball:
    """One body and where it hangs.

    centre: (3,) float, m, at rest; hook: (3,) float, m, above it, where the cord begins
    turning: rad/s, anticlockwise seen from above; phase: rad at second 0
    swing, twist: to and fro besides, or None
    hole: m, diameter of the hole in every panel and tile
    shape, tile, hang, motion: what it was made from, with every default filled in
    overhead: m, height of what is straight above it at rest
    """

    name: str
    body: Body
    centre: Floats
    hook: Floats
    turning: float
    phase: float
    reflectance: float
    hole: float
    shape: ShapeTable
    tile: TileTable
    hang: HangTable
    motion: MotionTable
    overhead: float
    swing: Swing | None = None
    twist: Twist | None = None

    def lean(self, seconds: float) -> float:
        """How far the cord leans, rad."""
        return 0.0 if self.swing is None else self.swing.lean(seconds)

    def twisted(self, seconds: float) -> float:
        """What the twist adds to the angle, rad."""
        return 0.0 if self.twist is None else self.twist.angle(seconds)

    def stance(self, angle: float, lean: float) -> tuple[Floats, Floats]:
        """Rotation (3, 3) and centre (3,), m, of the body turned about its cord, which leans."""
        c, s = np.cos(angle), np.sin(angle)
        about_cord = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        if self.swing is None or lean == 0.0:
            return about_cord, self.centre
        leaning = self.swing.rotation(lean)
        return leaning @ about_cord, self.hook + leaning @ (self.centre - self.hook)

    def spin(self, seconds: float) -> Floats:
        """Angular velocity, rad/s: (3,) float. Both axes, of turning and of swinging, run through
        the hook, so the whole body turns about the hook with it."""
        about_cord = self.turning + (0.0 if self.twist is None else self.twist.rate(seconds))
        if self.swing is None:
            return np.array([0.0, 0.0, about_cord])
        cord = self.swing.rotation(self.lean(seconds))[:, 2]
        return about_cord * cord + self.swing.rate(seconds) * self.swing.axis

    @property
    def fastest(self) -> float:
        """At most so many rad/s in all."""
        about_cord = abs(self.turning) + (0.0 if self.twist is None else self.twist.fastest)
        return about_cord if self.swing is None else math.hypot(about_cord, self.swing.fastest)

    def places(self, count: int = 257) -> Floats:
        """Places of the centre along its path, m: (k, 3) float; one if it stays where it is."""
        if self.swing is None:
            return self.centre[None]
        leans = np.linspace(-self.swing.amplitude, self.swing.amplitude, count)
        return np.array([self.stance(0.0, float(lean))[1] for lean in leans])
