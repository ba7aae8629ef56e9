"""The light map of a ball against photons thrown until they come as near: speed, and agreement."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from glint.rig.scene import Scene
from tests.bench import evenings
from tests.bench.figures import Figure, median_seconds
from tests.judge import PeerRun, photons_for_rms, rms_error
from tests.rig import judged

TEXELS = 1024
NEAR = 0.05


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
    pose = scene.at(degrees=10)
    reference = evenings.white(evenings.mirrored(pose, TEXELS), scene)
    kept = evenings.MirrorMap(scene, TEXELS)
    own = median_seconds(lambda: kept.of(scene.at(degrees=10)), 9 if quick else 45)
    peer = thrown(scene, reference, NEAR, 4.0 if quick else 60.0, 0)
    tiles = len(scene.balls[0].body.tile_sides)
    how = f"{tiles} tiles; photons at {peer.photons_per_second / 1e6:.1f} M/s"
    if peer.extrapolated:
        how += f", reckoned from {peer.seconds_run:.0f} s at {100 * peer.rms_run:.1f} %"
    yield Figure(f"{what}: times faster than photons", peer.seconds / own, "x", bar, True, how)
    yield Figure(f"{what}: glint's own time", 1000 * own, "ms")


def thrown(
    scene: Scene,
    reference: np.ndarray,
    fraction: float,
    most_seconds: float,
    seed: int,
    first: int = 1 << 20,
) -> PeerRun:
    """Photons at a scene's ball until the dome's map is near enough, or time is up."""
    return photons_for_rms(
        reference,
        judged.geometry(scene.at(degrees=10)),
        judged.lamp(scene),
        judged.room(scene),
        reflectance=scene.file.tile.reflectance,
        fraction=fraction,
        most_seconds=most_seconds,
        seed=seed,
        first=first,
    )


def measure_error(quick: bool) -> Iterator[Figure]:
    """How the difference to the tracer shrinks, and what would stay however many photons.

    Two runs with photons of their own share only what is systematic: the mean product of their
    errors is the square of the floor, free of the noise of either. A photon map holds the mean
    over each texel. "As drawn" is the map that a still shows; "texel means" are those of a map
    four times as fine, so that what they lack is not a matter of texels. Texels that the dome's rim
    cuts are left out of both: half of one is nowhere.
    """
    texels, seconds = (512, 1.5) if quick else (TEXELS, 25.0)
    # Few photons show nothing of a floor: a quick look holds no bar.
    bars = (None, None) if quick else (-0.45, 1.0)
    for name, scene in (("ring-laid ball", evenings.ring_laid()), ("raised", evenings.raised())):
        pose = scene.at(degrees=10)
        drawn = evenings.white(evenings.mirrored(pose, texels), scene)
        fine = evenings.white(evenings.mirrored(pose, 4 * texels), scene)
        means = fine.reshape(texels, 4, texels, 4).mean(axis=(1, 3))
        whole = evenings.whole_texels(scene, texels)
        first, second = (thrown(scene, means, 1e-4, seconds, seed, 1 << 17) for seed in (1, 2))
        both = 0.5 * (first.lux + second.lux)
        photons = first.photons_run + second.photons_run
        note = f"{photons:.2g} photons, down to {100 * rms_error(both, means):.1f} % RMS"
        yield Figure(
            f"error, {name}: slope over photons (-0.5: noise alone)",
            first.slope,
            "",
            bars[0],
            note=note,
        )
        for what, reference in (("texel means", means), ("as drawn", drawn)):
            yield Figure(
                f"error, {name}, {what}: floor at most",
                100 * floor_of(first.lux[whole], second.lux[whole], reference[whole]),
                "%",
                bars[1],
                note=f"{texels}² texels",
            )
        off = abs(both.sum() / drawn.sum() - 1)
        yield Figure(f"error, {name}: flux on the dome", 100 * off, "%", 0.3)


def floor_of(first: np.ndarray, second: np.ndarray, reference: np.ndarray) -> float:
    """RMS of what two independent noisy maps both miss the reference by, over its lit texels.

    Two standard errors are added: the floor is surely not higher.
    """
    lit = reference > 0.05 * reference.max()
    product = (first[lit] / reference[lit] - 1) * (second[lit] / reference[lit] - 1)
    return float(np.sqrt(max(product.mean() + 2 * product.std() / np.sqrt(product.size), 0.0)))
