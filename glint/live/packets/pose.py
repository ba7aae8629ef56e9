"""The light of one pose as a page draws it: beams, shadows and where every ball is."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from glint.kernels.arrays import Beams, Floats
from glint.kernels.illuminance.direct_light import Silhouettes
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import wave_weights
from glint.live.wire import Kind, pack
from glint.scene.scene import Pose

MOST_CORNERS_SENT = 11
"""Of one window: with these a beam takes 196 bytes. A window with more is cut in two by a diagonal,
which takes nothing from the light through it."""


def pose_packet(pose: Pose, revision: int, seq: int) -> bytes:
    """All that moves, of one instant. revision: of the scene that it belongs to."""
    found, shadows = beams(pose)[0], silhouettes(pose)
    facts, arrays = pose_parts(pose, found, shadows)
    return pack(Kind.POSE, {"revision": revision, **facts}, arrays, seq)


def pose_parts(
    pose: Pose, found: Beams, shadows: Silhouettes
) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Facts and arrays of a pose with its beams and silhouettes."""
    rows, corners = _beam_rows(found)
    cut_outs = np.column_stack([shadows.start[:-1], shadows.start[1:], shadows.lamp])
    arrays = {
        "beam": rows,
        "corner": corners,
        "edge": _covered_on_the_left(pose, shadows).astype(np.float32),
        "cut_out": cut_outs.astype(np.int32),
        "stance": np.concatenate([pose.rotations, pose.centres[..., None]], axis=2).astype(
            np.float32
        ),
    }
    strings = [
        {
            "ball": inside.ball,
            "weights": wave_weights(inside, pose.seconds).tolist(),
            "luminance": inside.radiance(inside.brightness(pose.seconds)).tolist(),
        }
        for inside in lighting_of(pose.scene).cavities
    ]
    angles = [math.remainder(angle, 2.0 * math.pi) for angle in pose.angles]
    return {"seconds": pose.seconds, "angles": angles, "strings": strings}, arrays


def _beam_rows(found: Beams) -> tuple[np.ndarray, np.ndarray]:
    """Beams as (n, 4, 4) float32, and the corners of their windows, (c, 3) float32, in a row.

    The third axis of a frame is left out: it is the cross product of the other two, times hand.
    """
    source, picked, sides = _windows(found)
    starts = np.cumsum(sides) - sides
    rows = np.empty((len(sides), 4, 4), np.float32)
    frame = found.frame
    hand = np.einsum("bk,bk->b", np.cross(frame[:, 0], frame[:, 1]), frame[:, 2])
    rows[:, 0, :3], rows[:, 0, 3] = found.apex[source], found.lamp[source]
    rows[:, 1, :3], rows[:, 1, 3] = frame[source, 0], found.share[source]
    rows[:, 2, :3], rows[:, 2, 3] = frame[source, 1], np.sign(hand)[source]
    rows[:, 3, 0], rows[:, 3, 1] = starts, sides
    rows[:, 3, 2], rows[:, 3, 3] = found.ball[source], found.bounces[source]
    return rows, picked.astype(np.float32)


def _windows(found: Beams) -> tuple[np.ndarray, Floats, np.ndarray]:
    """Of each beam that is sent: the beam that it comes from, its corners, in a row with those of
    the others, and how many they are."""
    count = found.sides
    if not (count > MOST_CORNERS_SENT).any():
        used = np.arange(found.window.shape[1]) < count[:, None]
        return np.arange(len(count)), found.window[used], count
    source, corners = [], []
    for number, (window, sides) in enumerate(zip(found.window, count.tolist(), strict=True)):
        half = sides // 2
        parts = [window[:sides]]
        if sides > MOST_CORNERS_SENT:
            parts = [window[: half + 1], np.concatenate([window[half:sides], window[:1]])]
        source += [number] * len(parts)
        corners += parts
    return np.array(source), np.concatenate(corners), np.array([len(part) for part in corners])


def _covered_on_the_left(pose: Pose, shadows: Silhouettes) -> Floats:
    """Edges of silhouettes, (e, 2, 3): what is covered lies on the left, as the lamp sees it."""
    if not len(shadows.edges):
        return shadows.edges
    lamps = lighting_of(pose.scene).lamp_arrays
    owner = np.repeat(shadows.lamp, np.diff(shadows.start))
    away = shadows.edges - lamps.position[owner][:, None]
    seen = np.einsum("eij,esj->esi", lamps.frame[owner], away)
    flat = seen[..., :2] / seen[..., 2:]
    turning = flat[:, 0, 0] * flat[:, 1, 1] - flat[:, 0, 1] * flat[:, 1, 0]
    empty = np.diff(shadows.start) == 0
    turn = np.add.reduceat(np.append(turning, 0.0), shadows.start[:-1])
    wrong = np.repeat(np.where(empty, 0.0, turn) < 0.0, np.diff(shadows.start))
    edges = shadows.edges.copy()
    edges[wrong] = edges[wrong][:, ::-1]
    return edges
