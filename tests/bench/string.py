"""Fifty small lights inside a body: frames against photons, and the loop against a lamp's."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from glint.light.colour import LUMINANCE
from glint.picture.loop import loop
from glint.rig.light import light
from glint.rig.running import RunningLight
from glint.rig.scene import Scene, build
from glint.scene.read import scene_of
from tests.bench.figures import Figure, median_seconds, seconds_of
from tests.judge import DomeMap, Room, rms_error
from tests.judge.cavity import throw_inside
from tests.rig.strung import LANTERN, geometry

TEXELS, NEAR = 1024, 0.05
RPM = 6.0


def evening(lamp: bool, string: bool) -> Scene:
    """A lantern of 105 panels with seams and cut corners. Tiles a little askew: then it looks the
    same only once a turn by either light, and loops of both are equally long."""
    tile = {"seam_mm": 1.2, "corner_cut_mm": 4.0, "tilt_sd_deg": 0.3}
    ball = {"shape": LANTERN, "hang": {"height_m": 2.4}, "motion": {"rpm": RPM}}
    tables = {"room": {"radius_m": 4.0}, "tile": tile, "ball": [ball]}
    if lamp:
        tables["lamp"] = [{"at_m": [3.0, 0.0, 1.6], "beam_deg": 9.0}]
    if string:
        tables["string"] = [{"leds": 50, "led_mm": 5.0}]
    return build(scene_of(tables))


def measure(quick: bool) -> Iterator[Figure]:
    """Frames of the string alone, and whole loops with it."""
    yield from _frames(quick)
    yield from _loops(quick)


def _frames(quick: bool) -> Iterator[Figure]:
    scene = evening(False, True)
    inside = scene.insides[0]
    reference = light(scene.at(degrees=0.0), TEXELS)["dome"].lux.astype(float) @ LUMINANCE
    start = seconds_of(lambda: RunningLight(scene, scene.room.surfaces[0], TEXELS, np.zeros(3)))
    running = RunningLight(scene, scene.room.surfaces[0], TEXELS, np.zeros(3))
    turned = iter(range(1000))
    own = median_seconds(lambda: running.show([scene.at(degrees=3.7 * next(turned))]), 9)
    room = Room(4.0, 4.0)
    sink = DomeMap(room, TEXELS, least=1)
    seen = throw_inside(
        geometry(scene),
        inside.lamps.position + inside.centre,
        0.0025,
        room,
        400_000 if quick else 8_000_000,
        walls=inside.reflectance,
        mirrors=scene.balls[0].reflectance,
        lumens=float(inside.lamps.lumens.sum()),
        sinks=[sink],
    )
    rms = rms_error(sink.lux(), reference)
    photons = seen.seconds * (rms / NEAR) ** 2
    note = (
        f"{len(inside.beams.lamp):,} beams, kept and turned; photons reckoned from "
        f"{seen.seconds:.0f} s at {100 * rms:.0f} %"
    )
    what = "string, 50 LEDs"
    yield Figure(f"{what}: frame, times faster than photons", photons / own, "x", 100.0, True, note)
    yield Figure(f"{what}: glint's own time a frame", 1000 * own, "ms")
    yield Figure(f"{what}: before the first frame", start, "s")
    off = abs(sink.lux().sum() / reference.sum() - 1.0)
    yield Figure(f"{what}: flux on the dome, off photons", 100 * off, "%", 2.0)


def _loops(quick: bool) -> Iterator[Figure]:
    size, fps = (360, 10) if quick else (720, 30)
    with tempfile.TemporaryDirectory() as folder:
        times = []
        for name, string in (("lamp", False), ("both", True)):
            path = Path(folder) / f"{name}.mp4"
            loop(evening(True, string), path, fps=2, size=size)  # compiles
            times.append(
                seconds_of(
                    lambda p=path, s=string: loop(
                        evening(True, s), p, fps=fps, size=size, force=True
                    )
                )
            )
    note = f"{times[1]:.1f} s over {times[0]:.1f} s, {round(60 / RPM * fps)} frames of {size}²"
    yield Figure(
        "string: loop with lamp and string over lamp alone",
        times[1] / times[0],
        "x",
        3.0,
        note=note,
    )
