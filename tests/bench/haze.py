"""Haze in an eye's view, 1,500 beams of it, against encoding the frames that it lies in."""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

import glint
from glint.kernels.arrays import Beams
from glint.kernels.camera.haze.single_scattering import gathered, reach_of
from glint.kernels.camera.projection import camera
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.render.eye.geometry import stances_of, things
from glint.render.eye.room_texture import room_light
from glint.render.eye.view import FORWARD
from glint.render.frames import Film
from glint.render.writers.movie import write_movie
from glint.scene.period import cycle
from glint.scene.scene import Pose
from tests.bench.command import SCENES
from tests.bench.figures import Figure, in_turn, median

POSES = 6


def measure(quick: bool) -> Iterator[Figure]:
    """Processor time, over all threads, in the hall's view: the haze alone, and the encoder."""
    scene = glint.load(SCENES / "hall.toml")
    size, frames, repeats = ((320, 180), 4, 2) if quick else ((1280, 720), 12, 5)
    eye = scene.source.eye
    at, look = np.array(eye.at_m, float), np.array(eye.look_m, float)
    view = camera(at, look, math.radians(eye.fov_deg), size)
    room = room_light(scene.room, 64)
    bodies, _ = things(scene, room.kinds, room.forms)
    poses = [scene.at(degrees=3.7 * number) for number in range(POSES)]
    traced = [beams(pose)[0] for pose in poses]
    density = scene.source.room.haze_per_m

    def one(pose: Pose, found: Beams) -> None:
        stances = stances_of(bodies, pose)
        reach = reach_of(bodies, stances, room.kinds, room.forms, view)
        gathered(
            found,
            lighting_of(scene).lamp_arrays,
            False,
            bodies,
            stances,
            reach,
            view,
            density,
            FORWARD,
        )

    def ours() -> float:
        start = time.process_time()
        for pose, found in zip(poses, traced, strict=True):
            one(pose, found)
        return (time.process_time() - start) / POSES

    found = cycle(scene)
    film = Film(scene, "eye", size, found, round(found.seconds * 30), 180.0, 0.0)
    pictures = [picture.copy() for picture in film.frames(range(frames))]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "alone.mp4"

        def peer() -> float:
            start = time.process_time()
            write_movie(path, iter(pictures), frames, film.rate)
            return (time.process_time() - start) / frames

        one(poses[0], traced[0])  # compiles
        race = in_turn(ours, peer, repeats)
    number = sum(len(found.lamp) for found in traced) / POSES
    what = f"haze of {number:,.0f} beams at {size[0]} by {size[1]}, a frame"
    note = "processor time, all threads"
    yield Figure(what, tuple(1e3 * each for each in race.ours), "ms", 100.0, note=note)
    note = f"{1e3 * median(race.peer):.0f} ms a frame, of {frames}"
    yield Figure(f"{what}: over encoding it alone", race.over, "x", note=note)
