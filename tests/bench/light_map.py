"""The light map of a ball against photons thrown until they come as near: speed, and agreement."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from glint.kernels.runtime.threads import at_most
from glint.scene.scene import Scene
from tests.bench import evenings
from tests.bench.figures import Figure, in_turn, median, median_seconds
from tests.judge import PeerRun, photons_for_rms, rms_error
from tests.lighting import judged

TEXELS = 1024
NEAR = 0.05
WORKERS = 2
"""Processes that throw photons, and threads of ours beside them."""


def measure_ring_laid(quick: bool) -> Iterator[Figure]:
    """An ordinary mirror ball of a thousand tiles."""
    yield from _race(evenings.ring_laid(), "light map, ring-laid ball", 1000.0, quick)


def measure_raised(quick: bool) -> Iterator[Figure]:
    """Chains of up to four mirrors."""
    yield from _race(evenings.raised(), "light map, raised body, 4 bounces", 200.0, quick)


def measure_spiked(quick: bool) -> Iterator[Figure]:
    """The same on a body of 720 tiles in deep valleys."""
    yield from _race(evenings.spiked(), "light map, spikes on spikes, 4 bounces", 200.0, quick)


def _race(scene: Scene, what: str, bar: float, quick: bool) -> Iterator[Figure]:
    """Quick: a quarter of the texels, and one core each, as the tracer's processes are slow to
    start."""
    texels, cores = (TEXELS // 2, 1) if quick else (TEXELS, WORKERS)
    repeats, each_time, most_seconds = (2, 5, 1.5) if quick else (5, 9, 60.0)
    first = 1 << (18 if quick else 20)
    pose = scene.at(degrees=10)
    reference = evenings.white(evenings.mirrored(pose, texels), scene)
    kept = evenings.MirrorMap(scene, texels)
    runs: list[PeerRun] = []

    def ours() -> float:
        with at_most(cores):
            return median_seconds(lambda: kept.of(scene.at(degrees=10)), each_time)

    def peer() -> float:
        seed = len(runs)
        runs.append(thrown(scene, reference, NEAR, most_seconds, seed, first, cores))
        return runs[-1].seconds

    race = in_turn(ours, peer, repeats)
    tiles = len(scene.balls[0].body.tile_sides)
    rate = median([run.photons_per_second for run in runs]) / 1e6
    how = f"{tiles} tiles, {texels}², {cores} {'core' if cores == 1 else 'cores'} each; "
    how += f"photons at {rate:.1f} M/s"
    if any(run.extrapolated for run in runs):
        worst = max(run.rms_run for run in runs)
        how += f", estimated from {most_seconds:.0f} s at {100 * worst:.1f} %"
    yield Figure(f"{what}: times faster than photons", race.faster, "x", bar, True, how)
    yield Figure(f"{what}: glint's own time", tuple(1000 * one for one in race.ours), "ms")


def thrown(
    scene: Scene,
    reference: np.ndarray,
    fraction: float,
    most_seconds: float,
    seed: int,
    first: int = 1 << 20,
    workers: int = WORKERS,
) -> PeerRun:
    """Photons at a scene's ball until the dome's map is near enough, or time is up."""
    return photons_for_rms(
        reference,
        judged.geometry(scene.at(degrees=10)),
        judged.lamp(scene),
        judged.room(scene),
        reflectance=scene.source.tile.reflectance,
        fraction=fraction,
        most_seconds=most_seconds,
        seed=seed,
        first=first,
        workers=workers,
    )


def measure_error(quick: bool) -> Iterator[Figure]:
    """How the difference to the tracer shrinks, and what would stay however many photons.

    Two runs with photons of their own share only what is systematic: the mean product of their
    errors is the square of the floor, free of the noise of either. A photon map holds the mean
    over each texel. "As drawn" is the map that a still shows; "texel means" are those of a map
    four times as fine, so that what they lack is not a matter of texels. Texels that the dome's rim
    cuts are left out of both: half of one is nowhere.
    """
    # Few photons show nothing of a floor.
    texels, seconds, repeats = (256, 0.4, 2) if quick else (TEXELS, 8.0, 3)
    for name, scene in (("ring-laid ball", evenings.ring_laid()), ("raised", evenings.raised())):
        pose = scene.at(degrees=10)
        drawn = evenings.white(evenings.mirrored(pose, texels), scene)
        fine = evenings.white(evenings.mirrored(pose, 4 * texels), scene)
        means = fine.reshape(texels, 4, texels, 4).mean(axis=(1, 3))
        whole = evenings.whole_texels(scene, texels)
        runs = [
            thrown(scene, means, 1e-4, seconds, seed, 1 << 17, 1 if quick else WORKERS)
            for seed in range(2 * repeats)
        ]
        pairs = list(zip(runs[::2], runs[1::2], strict=True))
        maps = [0.5 * (one.lux + other.lux) for one, other in pairs]
        photons = sum(run.photons_run for run in runs) / repeats
        rms = median([rms_error(both, means) for both in maps])
        note = f"{photons:.2g} photons each time, down to {100 * rms:.1f} % RMS"
        slopes = tuple(run.slope for run in runs)
        what = f"error, {name}: slope over photons (-0.5: noise alone)"
        yield Figure(what, slopes, "", -0.45, note=note)
        for what, reference in (("texel means", means), ("as drawn", drawn)):
            floors = tuple(
                100 * floor_of(one.lux[whole], other.lux[whole], reference[whole])
                for one, other in pairs
            )
            what = f"error, {name}, {what}: floor at most"
            yield Figure(what, floors, "%", 1.0, note=f"{texels}² texels")
        off = tuple(100 * abs(float(both.sum() / drawn.sum()) - 1) for both in maps)
        yield Figure(f"error, {name}: flux on the dome, off photons", off, "%", 0.3)


def floor_of(first: np.ndarray, second: np.ndarray, reference: np.ndarray) -> float:
    """RMS of what two independent noisy maps both miss the reference by, over its lit texels.

    Two standard errors are added: the floor is surely not higher.
    """
    lit = reference > 0.05 * reference.max()
    product = (first[lit] / reference[lit] - 1) * (second[lit] / reference[lit] - 1)
    return float(np.sqrt(max(product.mean() + 2 * product.std() / np.sqrt(product.size), 0.0)))
