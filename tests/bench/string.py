"""Fifty small lights inside a body: frames against photons, and the loop against a lamp's."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from glint.kernels.runtime.threads import at_most
from glint.lighting.illumination import light
from glint.lighting.incremental import IncrementalLightMap
from glint.lighting.prepared import lighting_of
from glint.photometry.colour import LUMINANCE
from glint.render.loop import loop
from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of
from tests.bench.figures import Figure, in_turn, median, median_seconds, seconds_of
from tests.judge import DomeMap, Room, rms_error
from tests.judge.cavity import throw_inside
from tests.lighting.strung import LANTERN, geometry

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
    """Frames of the string alone against photons; the tracer runs on one core, and so do we."""
    scene = evening(False, True)
    texels = 256 if quick else TEXELS
    inside, surface = lighting_of(scene).cavities[0], scene.room.surfaces[0]
    reference = light(scene.at(degrees=0.0), texels)["dome"].lux.astype(float) @ LUMINANCE
    room, solid = Room(4.0, 4.0), geometry(scene)
    made: list[IncrementalLightMap] = []
    start = tuple(
        seconds_of(lambda: made.append(IncrementalLightMap(scene, surface, texels, np.zeros(3))))
        for _ in range(1 if quick else 3)
    )
    turned, seeds = itertools.count(), itertools.count()
    off: list[float] = []
    thrown: list[tuple[float, float]] = []

    def show() -> None:
        made[0].show([scene.at(degrees=3.7 * next(turned))])

    def ours() -> float:
        with at_most(1):
            return median_seconds(show, 5)

    def peer() -> float:
        sink = DomeMap(room, texels, least=1)
        seen = throw_inside(
            solid,
            inside.lamps.position + inside.centre,
            0.0025,
            room,
            100_000 if quick else 3_000_000,
            walls=inside.reflectance,
            mirrors=scene.balls[0].reflectance,
            lumens=float(inside.lamps.lumens.sum()),
            sinks=[sink],
            seed=next(seeds),
        )
        rms = rms_error(sink.lux(), reference)
        thrown.append((seen.seconds, rms))
        off.append(100 * abs(float(sink.lux().sum() / reference.sum()) - 1.0))
        return seen.seconds * (rms / NEAR) ** 2

    race = in_turn(ours, peer, 2 if quick else 3)
    seconds, rms = (median(column) for column in zip(*thrown, strict=True))
    note = (
        f"{len(inside.beams.lamp):,} beams, {texels}², kept and turned, one core each; photons "
        f"estimated from {seconds:.2g} s at {100 * rms:.0f} %"
    )
    what = "string, 50 LEDs"
    yield Figure(f"{what}: frame, times faster than photons", race.faster, "x", 100.0, True, note)
    yield Figure(f"{what}: glint's own time a frame", tuple(1000 * one for one in race.ours), "ms")
    yield Figure(f"{what}: before the first frame", start, "s")
    yield Figure(f"{what}: flux on the dome, off photons", tuple(off), "%", 2.0)


def _loops(quick: bool) -> Iterator[Figure]:
    size, fps, repeats = (240, 3, 1) if quick else (720, 30, 3)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.mp4"

        def filmed(string: bool, fps: int = fps) -> float:
            scene = evening(True, string)
            return seconds_of(lambda: loop(scene, path, fps=fps, size=size, force=True))

        filmed(True, 2)  # compiles
        race = in_turn(lambda: filmed(True), lambda: filmed(False), repeats)
    times = f"{median(race.ours):.1f} s over {median(race.peer):.1f} s"
    note = f"{times}, {round(60 / RPM * fps)} frames of {size}²"
    what = "string: loop with lamp and string over lamp alone"
    yield Figure(what, race.over, "x", 3.0, note=note)
