"""How fast the mirrored lens and its window move as the balls turn: exact derivatives."""

from __future__ import annotations

import numpy as np

from glint.kernels.arrays import Beams, Floats, Integers
from glint.lighting.prepared import lighting_of
from glint.scene.scene import Pose


def chain_velocity(
    pose: Pose, beams: Beams, rows: Integers, middle: Floats
) -> tuple[Floats, Floats]:
    """Velocities of the last mirrored lens centre and of the window's middle, m/s.

    rows: (s,) int, a beam of each spot; middle: (s, 3) float, m, of its window. Returns two
    (s, 3) float. A mirror with unit normal n that turns with its ball at w about c sends an apex
    a with velocity v to a' = a - 2 n (n . (a - p)) with velocity
    w x (a' - c) + R (v - w x (a - c)), R = 1 - 2 n n: seen from the turning ball the mirror
    stands still and the apex moves. The middle of a window is carried along by its tile; that the
    shadows which cut some windows slide over the tile is left out.
    """
    polygons = pose.polygons
    pivots, spins = _turning(pose)
    apex = lighting_of(pose.scene).lamp_arrays.position[beams.lamp[rows]]
    velocity = np.zeros_like(apex)
    for step in range(int(beams.bounces[rows].max(initial=0))):
        on = np.flatnonzero(beams.bounces[rows] > step)
        tile = beams.chain[rows[on], step]
        normal, corner = polygons.normals[tile], polygons.corners[tile, 0]
        ball = polygons.ball[tile]
        spin, pivot = spins[ball], pivots[ball]
        seen = velocity[on] - np.cross(spin, apex[on] - pivot)
        seen = seen - 2.0 * normal * np.sum(normal * seen, axis=1, keepdims=True)
        height = np.sum(normal * (apex[on] - corner), axis=1, keepdims=True)
        apex[on] = apex[on] - 2.0 * height * normal
        velocity[on] = seen + np.cross(spin, apex[on] - pivot)
    last = beams.ball[rows]
    return velocity, np.cross(spins[last], middle - pivots[last])


def _turning(pose: Pose) -> tuple[Floats, Floats]:
    """A point of each ball that stays where it is, m, and its angular velocity, rad/s: (b, 3)."""
    balls = pose.scene.balls
    # Both axes, of turning and of swinging, run through the hook.
    pivots = np.array([ball.hook for ball in balls])
    return pivots, np.array([ball.spin(pose.seconds) for ball in balls])
