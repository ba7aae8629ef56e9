"""How fast the mirrored lens and its window move as the balls turn: exact derivatives."""

from __future__ import annotations

import numpy as np

from glint.optics.arrays import Beams, Floats, Integers
from glint.rig.pose import Pose


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
    polygons, scene = pose.polygons, pose.scene
    centres = np.array([ball.centre for ball in scene.balls])
    turning = np.array([ball.turning for ball in scene.balls])
    apex = scene.lamp_arrays.position[beams.lamp[rows]]
    velocity = np.zeros_like(apex)
    for step in range(int(beams.bounces[rows].max(initial=0))):
        on = np.flatnonzero(beams.bounces[rows] > step)
        tile = beams.chain[rows[on], step]
        normal, corner = polygons.normals[tile], polygons.corners[tile, 0]
        ball = polygons.ball[tile]
        spin, centre = turning[ball], centres[ball]
        seen = velocity[on] - _turned(spin, apex[on] - centre)
        seen = seen - 2.0 * normal * np.sum(normal * seen, axis=1, keepdims=True)
        height = np.sum(normal * (apex[on] - corner), axis=1, keepdims=True)
        apex[on] = apex[on] - 2.0 * height * normal
        velocity[on] = seen + _turned(spin, apex[on] - centre)
    last = beams.ball[rows]
    return velocity, _turned(turning[last], middle - centres[last])


def _turned(spin: Floats, arm: Floats) -> Floats:
    """Velocity of points at an arm (n, 3) from axes that turn about the vertical at spin (n,)."""
    return np.column_stack([-spin * arm[:, 1], spin * arm[:, 0], np.zeros(len(arm))])
