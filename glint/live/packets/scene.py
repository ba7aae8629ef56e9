"""A scene as a page draws it: everything but what moves."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from glint.kernels.arrays import Floats
from glint.kernels.illuminance.direct_light import add_direct_light
from glint.kernels.illuminance.light_map import add_beams
from glint.lighting.illumination import LightMap, beams, sampled, summed
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.maps import turns_with
from glint.photometry.colour import hex_to_linear_rgb
from glint.render.still import exposure_for
from glint.render.tone.eye_exposure import MIDDLE
from glint.room.charts import chart_of
from glint.room.geodesic_frame import Frame
from glint.room.room import Room
from glint.room.surfaces.cap import Cap
from glint.scene.ball import Ball
from glint.scene.cache import Same
from glint.scene.scene import Scene

PROBED, PROBED_BELOW = 256, 96
"""Texels across the maps that exposure and diffuse light are found from: overhead, and else."""

PANEL, MIRROR, HOLE = 0, 1, 2


def scene_parts(
    scene: Scene, strung: Mapping[str, Floats]
) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Facts and arrays of a scene; PROTOCOL.md lists them. strung: lumens, (3,) linear RGB, that
    strings send to each surface, where they are known already."""
    lamps = lighting_of(scene).lamp_arrays
    ambient, exposure = _diffuse_light(scene, strung)
    polygons, corners = _polygons(scene)
    arrays = {
        "candela": lamps.candela.astype(np.float32),
        "spread": lamps.spread.astype(np.float32),
        "polygon": polygons,
        "polygon_corner": corners,
        **_frame_arrays(scene.room),
    }
    facts = {
        "title": scene.title,
        "name": scene.name,
        "room": _room(scene),
        "ambient": ambient.tolist(),
        "exposure": exposure,
        "haze": scene.haze,
        "lamps": [
            {
                "name": lamp.name,
                "at": lamp.position.tolist(),
                "frame": lamp.frame.tolist(),
                "lens_radius": lamp.lens_radius,
                "colour": lamp.colour.tolist(),
                "lumens": lamp.lumens,
                "planes": int(planes),
                "sine_end": lamp.intensity.s_end,
            }
            for lamp, planes in zip(scene.lamps, lamps.planes, strict=True)
        ],
        "balls": [_ball(ball) for ball in scene.balls],
        "strings": [
            {"name": one.name, "ball": one.ball, "leds": len(one.points)} for one in scene.strings
        ],
        "eye": {
            "at_m": list(scene.eye.at_m),
            "look_m": list(scene.eye.look_m),
            "fov_deg": scene.eye.fov_deg,
        },
        "fastest_spot": scene.fastest_spot,
    }
    for number, inside in enumerate(lighting_of(scene).cavities):
        openings = inside.openings
        used = np.arange(openings.corners.shape[1]) < openings.sides[:, None]
        arrays[f"opening {number}"] = openings.corners[used].astype(np.float32)
        arrays[f"opening_sides {number}"] = openings.sides.astype(np.int32)
    facts["cavities"] = [
        {
            "ball": inside.ball,
            "turns": {s.name: turns_with(inside, s) for s in scene.room.surfaces},
        }
        for inside in lighting_of(scene).cavities
    ]
    return facts, arrays


def _diffuse_light(scene: Scene, strung: Mapping[str, Floats]) -> tuple[Floats, dict[str, float]]:
    """Light that is everywhere, lx, (3,), and the exposures of the views: what brings the dome, or
    the darkest wall in an eye's view, to its place on the tone curve."""
    pose, room, lamps = scene.at(seconds=0.0), scene.room, lighting_of(scene).lamp_arrays
    found, shadows = beams(pose)[0], silhouettes(pose)
    maps, landed = {}, {}
    for number, surface in enumerate(room.surfaces):
        texels = PROBED if number < room.above else PROBED_BELOW
        chart, blocks = chart_of(surface, texels), lighting_of(scene).blocks(surface, texels)
        lux = np.zeros((*chart.size, 3), np.float32)
        add_beams(found, lamps, chart, lux, blocks)
        pattern = sampled(lux)
        add_direct_light(lamps, shadows, chart, lux, blocks)
        maps[surface.name] = LightMap(surface, chart, lux, room.ambient, blocks.inside, pattern)
        landed[surface.name] = summed(lux) * chart.texel_area + strung.get(surface.name, 0.0)
    ambient = room.ambient + room.interreflected(landed)
    above = {name: replace(maps[name], ambient=ambient) for name in room.overhead.names}
    paint = np.maximum(room.floor.mean_reflectance, room.surfaces[0].reflectance)
    dark = float((ambient * paint).max())
    eye = MIDDLE * math.pi / dark if dark > 0.0 else 1.0
    return ambient, {"dome": exposure_for(above, room.overhead.names), "eye": eye}


def _room(scene: Scene) -> dict[str, Any]:
    room = scene.room
    return {
        "kind": scene.source.room.kind,
        "height": room.height,
        "above": room.above,
        "pole": room.pole,
        "tube": 0.0 if room.frame is None else room.frame.tube,
        "surfaces": [
            {
                "name": surface.name,
                "kind": surface.kind,
                "form": surface.form.tolist(),
                "reflectance": np.asarray(surface.reflectance).tolist(),
                "open": surface.open,
                "plain": room.is_plain(surface),
                "size": list(surface.size(1024)),
                "place": surface.place(1024).tolist(),
            }
            for surface in room.surfaces
        ],
    }


def _ball(ball: Ball) -> dict[str, Any]:
    return {
        "name": ball.name,
        "tiles": len(ball.body.tile_sides),
        "centre": ball.centre.tolist(),
        "hook": ball.hook.tolist(),
        "radius": ball.body.radius,
        "reflectance": ball.reflectance,
        "panel": np.asarray(hex_to_linear_rgb(ball.tile.panel_colour)).tolist(),
        "turning": ball.turning,
        "phase": ball.phase,
        "swings": ball.swing is not None,
        "twists": ball.twist is not None,
    }


def _polygons(scene: Scene) -> tuple[np.ndarray, np.ndarray]:
    """Tiles, panels and holes with every ball at angle 0, about its own centre: (n, 4) int32, first
    corner, corners, ball and kind; and all corners, (c, 3) float32."""
    return scene.cache.get(("live polygons", Same(scene.still_polygons)), lambda: _packed(scene))


def _packed(scene: Scene) -> tuple[np.ndarray, np.ndarray]:
    still = scene.still_polygons
    used = np.arange(still.corners.shape[1]) < still.sides[:, None]
    solid = [len(b.body.tile_sides) + len(b.body.panel_sides) for b in scene.balls]
    first = np.searchsorted(still.ball, np.arange(len(scene.balls)))
    place = np.arange(len(still.sides)) - first[still.ball]
    kind = np.where(still.mirror, MIRROR, np.where(place < np.array(solid)[still.ball], 0, HOLE))
    starts = np.cumsum(still.sides) - still.sides
    rows = np.column_stack([starts, still.sides, still.ball, kind]).astype(np.int32)
    return rows, still.corners[used].astype(np.float32)


def _frame_arrays(room: Room) -> dict[str, np.ndarray]:
    """Struts of a geodesic frame, (k, 2, 3), and triangles without fabric, (t, 3, 3), float32."""
    cap = room.surfaces[0]
    if room.frame is None or not isinstance(cap, Cap):
        return {}
    triangles = _triangles(room.frame)
    bare = triangles[room.frame.bare]
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    keys = np.sort(np.round(sides * 1e6).astype(np.int64).view("i8,i8,i8")[..., 0], axis=1)
    _, once = np.unique(keys, axis=0, return_index=True)
    struts = sides[once]
    struts = struts[(struts[..., 2] > room.frame.lowest - 1e-9).any(axis=1)]
    place = cap.radius * np.concatenate([struts.reshape(-1, 3), bare.reshape(-1, 3)]) + cap.centre
    cut = 2 * len(struts)
    return {
        "strut": place[:cut].reshape(-1, 2, 3).astype(np.float32),
        "bare": place[cut:].reshape(-1, 3, 3).astype(np.float32),
    }


def _triangles(frame: Frame) -> Floats:
    """Unit corners of every small triangle, in the order of `Frame.centres`: (n, 3, 3) float."""
    parts = frame.frequency
    found = np.zeros((20 * parts * parts, 3, 3))
    for row in range(parts):
        for place in range(2 * row + 1):
            third, inverted = divmod(place, 2)
            first, second = parts - 1 - row, row - third - inverted
            low = np.array([first, second, third])
            steps = np.eye(3, dtype=int) if not inverted else 1 - np.eye(3, dtype=int)
            corners = np.einsum("ci,fij->fcj", (low + steps) / parts, frame.faces)
            corners /= np.linalg.norm(corners, axis=2, keepdims=True)
            found[np.arange(20) * parts * parts + row * row + place] = corners
    return found
