"""How long the photon tracer takes to come as near to a light map as is asked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import nnls

from tests.judge.geometry import Geometry, Target
from tests.judge.lamp import Lamp
from tests.judge.maps import DomeMap, FloorMap
from tests.judge.room import Room
from tests.judge.tally import Ledger
from tests.judge.trace import BATCH, Crew, Draws, task


class PeerRun(NamedTuple):
    """What a run of the tracer showed.

    photons and seconds: thrown and taken until the error fell to what was asked; where
    extrapolated from the noise in `curve` at the rate measured. photons_run, seconds_run,
    rms_run: what was really thrown, and how near it came. curve (n, 2): photons thrown so far, and
    RMS error. noise, floor: rms^2 = floor^2 + noise^2 / photons fitted to the curve; slope: d log
    rms / d log photons, -0.5 where all is noise. Times leave out starting processes, building
    Embree's tree and comparing the maps, which favours the tracer.
    """

    photons: int
    seconds: float
    extrapolated: bool
    photons_run: int
    seconds_run: float
    rms_run: float
    photons_per_second: float
    curve: np.ndarray
    noise: float
    floor: float
    slope: float
    lux: np.ndarray


def rms_error(lux: np.ndarray, reference: np.ndarray, lit: float = 0.05) -> float:
    """RMS of lux / reference - 1 over the texels where the reference is over lit of its peak."""
    lighted = reference > lit * reference.max()
    return float(np.sqrt(np.mean(np.square(lux[lighted] / reference[lighted] - 1))))


def photons_for_rms(
    reference: np.ndarray,
    geometry: Geometry,
    lamp: Lamp,
    room: Room,
    *,
    aim: Sequence[Target] | None = None,
    reflectance: float | np.ndarray = 0.86,
    bounces: int = 4,
    fraction: float = 0.05,
    lit: float = 0.05,
    surface: str = "dome",
    spill: bool = False,
    most_seconds: float = 60.0,
    workers: int = 2,
    seed: int = 0,
    draws: Draws = "random",
    batch: int = BATCH,
    first: int = 1 << 20,
) -> PeerRun:
    """Throws photons at the ball until the map's RMS error falls to `fraction`, or time is up.

    reference (texels, texels) lx of `surface` "dome" or "floor", as DomeMap and FloorMap lie:
    mirrored light only, or with spill=True all of the lamp's, which takes photons from the whole
    lamp. aim: the balls; one sphere about all if not given.
    """
    chart = {"dome": DomeMap, "floor": FloorMap}[surface](room, len(reference), 0 if spill else 1)
    if not spill and aim is None:
        aim = geometry.bounds()
    job = task(
        geometry,
        lamp,
        room,
        aim=None if spill else aim,
        reflectance=reflectance,
        bounces=bounces,
        sinks=[chart],
        draws=draws,
        batch=batch,
    )
    ledger = Ledger(bounces)
    seconds, thrown, share = 0.0, 0, first
    curve: list[tuple[int, float]] = []
    with Crew(job, workers, seed) as crew:
        while True:
            seconds += crew.throw(share, ledger, (chart,))
            thrown += share
            curve.append((thrown, rms_error(chart.lux(), reference, lit)))
            rms, left = curve[-1][1], most_seconds - seconds
            if rms <= fraction or left <= 0:
                break
            # As many more as seem needed, but at most double, and no longer than there is time.
            wanted = thrown * ((rms / fraction) ** 2 * 1.002 - 1)
            share = int(max(1 << 16, min(wanted, thrown, left * thrown / seconds * 1.01)))
    points = np.array(curve)
    noise, floor, slope = _fit(points)
    reached = rms <= fraction
    needed = thrown if reached else int(np.ceil((noise / fraction) ** 2))
    return PeerRun(
        photons=needed,
        seconds=seconds * needed / thrown,
        extrapolated=not reached,
        photons_run=thrown,
        seconds_run=seconds,
        rms_run=rms,
        photons_per_second=thrown / seconds,
        curve=points,
        noise=noise,
        floor=floor,
        slope=slope,
        lux=chart.lux(),
    )


def _fit(curve: np.ndarray) -> tuple[float, float, float]:
    """noise, floor and slope of a curve (n, 2) of photons and RMS error."""
    photons, rms = curve.T
    all_noise = float(rms[-1] * np.sqrt(photons[-1]))
    if len(curve) < 3:
        return all_noise, float("nan"), float("nan")
    # Relative weights: without them the first and noisiest points would decide.
    scaled = photons[-1] / photons
    matrix = np.column_stack([np.ones(len(curve)), scaled]) / (rms**2)[:, None]
    level, fall = nnls(matrix, np.ones(len(curve)))[0]
    slope = float(np.polyfit(np.log(photons), np.log(rms), 1)[0])
    noise = float(np.sqrt(fall * photons[-1])) if fall > 0 else all_noise
    return noise, float(np.sqrt(level)), slope
