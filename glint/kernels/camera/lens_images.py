"""The lamps' lenses as the eye sees them, straight or in mirrors: exact in energy, never by luck.

A lens mirrored in a tile is often smaller than a pixel and a million times brighter than the
fabric. What of it the eye sees is the lens cut by the beam's window, as for any point of the room;
its illuminance at the eye is shared out over the pixels that its image covers.
"""

from __future__ import annotations

import math

import numpy as np

from glint.kernels.arrays import MOST_CORNERS, Beams, Floats, Lamps
from glint.kernels.camera.projection import pixel_solid_angle, project, ray
from glint.kernels.geometry.bvh import DEEPEST, NOTHING, nearest_polygon
from glint.kernels.illuminance.visible_lens import lens_corners, lens_light, visible_lens
from glint.kernels.image.tone_mapping import BLOCK
from glint.kernels.runtime.jit import kernel
from glint.kernels.sources.spherical_source import drawn_in, drawn_out

FINE = 4
"""Samples along a pixel's side that share a lens out over its pixels."""


@kernel
def _inside(xs, ys, count, x, y):
    """Whether a point lies in a convex polygon, of either sense of rotation."""
    left = right = False
    for i in range(count):
        j = i + 1 if i + 1 < count else 0
        turn = (xs[j] - xs[i]) * (y - ys[i]) - (ys[j] - ys[i]) * (x - xs[i])
        left, right = left or turn > 0.0, right or turn < 0.0
    return not (left and right)


@kernel
def _sample(camera, apex, frame, radius, at, draw, xs, ys, count, x, y):
    """Whether a point of the picture looks at the visible part of a lens.

    at: the eye, across the axis; draw: how it draws the lens plane in, see `outlook.drawn_in`.
    """
    dx, dy, dz = ray(camera, x, y)
    ex, ey, ez = camera.at[0] - apex[0], camera.at[1] - apex[1], camera.at[2] - apex[2]
    fall = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
    if fall == 0.0:
        return False
    path = -(frame[2, 0] * ex + frame[2, 1] * ey + frame[2, 2] * ez) / fall
    if path <= 0.0:
        return False
    ex, ey, ez = ex + path * dx, ey + path * dy, ez + path * dz
    u = frame[0, 0] * ex + frame[0, 1] * ey + frame[0, 2] * ez
    v = frame[1, 0] * ex + frame[1, 1] * ey + frame[1, 2] * ez
    pull = draw * (u * at[0] + v * at[1])
    u, v = u - pull * at[0], v - pull * at[1]
    return u * u + v * v <= radius * radius and _inside(xs, ys, count, u, v)


@kernel
def _spread(
    camera, apex, frame, radius, sphere, eye, xs, ys, count, u, v, colour, lux, picture, touched
):
    """Share a lens's illuminance at the eye out over the pixels that see it.

    sphere: as in Lamps; eye: its place in the lens frame
    """
    height, width = picture.shape[0], picture.shape[1]
    low_x, high_x, low_y, high_y = 1e9, -1e9, 1e9, -1e9
    draw, out = drawn_in(sphere, *eye), drawn_out(sphere, *eye)
    # The image of the lens about the middle of its visible part, a box with some room.
    for corner in range(8):
        angle = corner * math.pi / 4.0
        qu, qv = 1.1 * radius * math.cos(angle), 1.1 * radius * math.sin(angle)
        push = out * (qu * eye[0] + qv * eye[1])
        qu, qv = qu + push * eye[0], qv + push * eye[1]
        ahead, x, y = project(
            camera,
            apex[0] + qu * frame[0, 0] + qv * frame[1, 0],
            apex[1] + qu * frame[0, 1] + qv * frame[1, 1],
            apex[2] + qu * frame[0, 2] + qv * frame[1, 2],
        )
        if not ahead:
            return
        low_x, high_x = min(low_x, x), max(high_x, x)
        low_y, high_y = min(low_y, y), max(high_y, y)
    left, right = math.floor(max(low_x, -2.0)), math.ceil(min(high_x, width + 2.0))
    top, bottom = math.floor(max(low_y, -2.0)), math.ceil(min(high_y, height + 2.0))
    total = 0
    for writing in range(2):
        if writing and total == 0:
            break
        for i in range(top, bottom):
            for j in range(left, right):
                hits = 0
                for a in range(FINE):
                    for b in range(FINE):
                        if _sample(
                            camera,
                            apex,
                            frame,
                            radius,
                            eye,
                            draw,
                            xs,
                            ys,
                            count,
                            j + (b + 0.5) / FINE,
                            i + (a + 0.5) / FINE,
                        ):
                            hits += 1
                if not writing:
                    total += hits
                elif hits and 0 <= i < height and 0 <= j < width:
                    value = lux * hits / total / pixel_solid_angle(camera, j + 0.5, i + 0.5)
                    touched[i // BLOCK, j // BLOCK] = True
                    for k in range(3):
                        picture[i, j, k] += value * colour[k]
    if total == 0:
        # Smaller than the samples' step: all of it into the pixel of its middle.
        ahead, x, y = project(
            camera,
            apex[0] + u * frame[0, 0] + v * frame[1, 0],
            apex[1] + u * frame[0, 1] + v * frame[1, 1],
            apex[2] + u * frame[0, 2] + v * frame[1, 2],
        )
        i, j = math.floor(y), math.floor(x)
        if ahead and 0 <= i < height and 0 <= j < width:
            value = lux / pixel_solid_angle(camera, x, y)
            touched[i // BLOCK, j // BLOCK] = True
            for k in range(3):
                picture[i, j, k] += value * colour[k]


@kernel
def draw_lens_images(beams, lamps, bodies, turn, camera, picture, touched, sources):
    """Add every lens that the eye sees in a mirror or, for beams of no bounce, straight.

    picture: (h, w, 3) float32, cd/m**2, changed in place. touched: blocks of BLOCK pixels, set
    where it was. sources: (b, 7) float, written: for each
    beam the direction towards the image (3), the illuminance at the eye across it (3), lx, and
    the share of the lens seen; all zero where nothing is.
    """
    corners, xs, ys = np.zeros((MOST_CORNERS, 3)), np.zeros(MOST_CORNERS), np.zeros(MOST_CORNERS)
    stack = np.empty(DEEPEST, np.int64)
    at = camera.at
    for b in range(beams.lamp.shape[0]):
        sources[b, :] = 0.0
        lamp, frame, apex = beams.lamp[b], beams.frame[b], beams.apex[b]
        radius, count = lamps.lens_radius[lamp], beams.sides[b]
        dx, dy, dz = at[0] - apex[0], at[1] - apex[1], at[2] - apex[2]
        px = frame[0, 0] * dx + frame[0, 1] * dy + frame[0, 2] * dz
        py = frame[1, 0] * dx + frame[1, 1] * dy + frame[1, 2] * dz
        pz = frame[2, 0] * dx + frame[2, 1] * dy + frame[2, 2] * dz
        if pz <= 0.0:
            continue
        lens_corners(apex, frame, beams.window[b], count, corners)
        sphere = lamps.sphere[lamp]
        part, u, v = visible_lens(px, py, pz, corners, count, radius, sphere, xs, ys)
        if part <= 1e-9:
            continue
        dx -= u * frame[0, 0] + v * frame[1, 0]
        dy -= u * frame[0, 1] + v * frame[1, 1]
        dz -= u * frame[0, 2] + v * frame[1, 2]
        far = math.sqrt(dx * dx + dy * dy + dz * dz)
        dx, dy, dz = dx / far, dy / far, dz / far
        lux = beams.share[b] * lens_light(lamps, lamp, frame, px, py, pz, -dx, -dy, -dz, part, u, v)
        if lux <= 0.0:
            continue
        # Its own ball has cut the beam; other bodies may still stand between it and the eye.
        window = 0.0
        for k in range(3):
            middle = 0.0
            for i in range(count):
                middle += beams.window[b, i, k] / count
            window += (middle - at[k]) ** 2
        reach = math.sqrt(window) * (1.0 - 1e-6)
        body, _, _, _ = nearest_polygon(
            bodies.solid,
            turn,
            at[0],
            at[1],
            at[2],
            -dx,
            -dy,
            -dz,
            reach,
            beams.ball[b],
            NOTHING,
            0.0,
            0.0,
            stack,
        )
        if body != NOTHING:
            continue
        sources[b, 0], sources[b, 1], sources[b, 2] = -dx, -dy, -dz
        for k in range(3):
            sources[b, 3 + k] = lux * lamps.colour[lamp, k]
        sources[b, 6] = part
        _spread(
            camera,
            apex,
            frame,
            radius,
            sphere,
            (px, py, pz),
            xs,
            ys,
            count,
            u,
            v,
            lamps.colour[lamp],
            lux,
            picture,
            touched,
        )


def straight(lamps: Lamps) -> Beams:
    """The lamps themselves as beams of no bounce, with a window wider than their lens before it."""
    number = len(lamps.lumens)
    window = np.zeros((number, MOST_CORNERS, 3))
    for corner, (a, b) in enumerate([(-1, -1), (1, -1), (1, 1), (-1, 1)]):
        wide = 3.0 * lamps.lens_radius[:, None]
        window[:, corner] = lamps.position + wide * (
            a * lamps.frame[:, 0] + b * lamps.frame[:, 1] + 0.02 * lamps.frame[:, 2]
        )
    return Beams(
        lamp=np.arange(number),
        ball=np.full(number, NOTHING),
        bounces=np.zeros(number, np.int64),
        chain=np.full((number, 8), -1),
        apex=np.array(lamps.position),
        frame=np.array(lamps.frame),
        window=window,
        sides=np.full(number, 4),
        share=np.ones(number),
        lumens=np.array(lamps.lumens),
    )


def sources_of(beams: Beams) -> Floats:
    """Room for what `draw_lens_images` writes about each beam: (b, 7) float."""
    return np.zeros((len(beams.lamp), 7))
