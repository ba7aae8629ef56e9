"""Haze in an eye's view: one frame of 1,500 beams, and its memory."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator

import numpy as np

import glint
from glint.optics.camera import camera
from glint.optics.haze import gathered, reach_of
from glint.picture.surroundings import room_light
from glint.picture.things import stances_of, things
from glint.rig.light import beams
from tests.bench.command import SCENES
from tests.bench.figures import Figure

FRAMES = 5


def measure(quick: bool) -> Iterator[Figure]:
    """Processor time of the haze alone, over all threads, in the hall's view at several angles."""
    scene = glint.load(SCENES / "hall.toml")
    size = (640, 360) if quick else (1280, 720)
    eye = scene.file.eye
    at, look = np.array(eye.at_m, float), np.array(eye.look_m, float)
    view = camera(at, look, math.radians(eye.fov_deg), size)
    room = room_light(scene.room, 64)
    bodies, _ = things(scene, room.kinds, room.forms)
    worked, number = 0.0, 0
    for frame in range(FRAMES + 1):
        pose = scene.at(degrees=3.7 * frame)
        found, _ = beams(pose)
        stances = stances_of(bodies, pose)
        start = time.process_time()
        reach = reach_of(bodies, stances, room.kinds, room.forms, view)
        density = scene.file.room.haze_per_m
        gathered(found, scene.lamp_arrays, False, bodies, stances, reach, view, density, 0.6)
        if frame:  # the first compiles
            worked += time.process_time() - start
            number += len(found.lamp)
    what = f"haze of {number / FRAMES:,.0f} beams at {size[0]} by {size[1]}, a frame"
    note = "processor time, all threads"
    yield Figure(what, 1e3 * worked / FRAMES, "ms", 100.0, note=note)
