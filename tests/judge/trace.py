"""Throws photons and follows each from mirror to mirror until it is caught or lands.

Embree holds Python's lock while it searches, so threads gain next to nothing; more workers are
more processes. Every share of photons has its own random stream, numbered: the outcome for a seed
depends on the number of workers but not on which of them did what. Processes are started
afresh, so a script that asks for more than one keeps its own work under `__name__ == "__main__"`.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from typing import Literal

import numpy as np
from scipy.stats import qmc

from tests.judge.geometry import Geometry, Target
from tests.judge.lamp import Discs, Lamp, Photons, Source
from tests.judge.maps import Landing, Sink
from tests.judge.room import Room
from tests.judge.tally import ABSORBED, BACKS, CUT_OFF, PANELS, Ledger, Tally

# Small enough that a batch stays in a core's cache.
BATCH = 1 << 15

Draws = Literal["random", "sobol"]


@dataclass(frozen=True)
class Task:
    """All that a process needs to know to throw photons. reflectance (tiles,) float32."""

    geometry: Geometry
    source: Source
    room: Room
    aim: tuple[Target, ...] | None
    reflectance: np.ndarray
    bounces: int
    draws: Draws
    sinks: tuple[Sink, ...]
    batch: int


def task(
    geometry: Geometry,
    lamp: Lamp,
    room: Room,
    *,
    aim: Sequence[Target] | None = None,
    reflectance: float | np.ndarray = 0.86,
    bounces: int = 4,
    sinks: Sequence[Sink] = (),
    draws: Draws = "random",
    batch: int = BATCH,
) -> Task:
    """Checks and packs up what `trace` was given."""
    if aim is not None and any(sink.least < 1 for sink in sinks):
        raise ValueError("aimed photons are only part of the spill: use least=1 or leave `aim` out")
    shares = np.broadcast_to(np.asarray(reflectance, dtype=np.float32), (geometry.tiles,)).copy()
    aimed = None if aim is None else tuple(aim)
    empty = tuple(sink.fresh() for sink in sinks)
    return Task(geometry, lamp.source(), room, aimed, shares, bounces, draws, empty, batch)


def trace(
    geometry: Geometry,
    lamp: Lamp,
    room: Room,
    photons: int,
    *,
    aim: Sequence[Target] | None = None,
    reflectance: float | np.ndarray = 0.86,
    bounces: int = 4,
    sinks: Sequence[Sink] = (),
    seed: int = 0,
    draws: Draws = "random",
    batch: int = BATCH,
    workers: int = 1,
) -> Tally:
    """Throws photons from a lamp and keeps the books.

    aim: None throws the whole lamp, in proportion to its candela; targets throw only photons that
    may meet one of them, evenly, with weights to match. reflectance: one for all, or one a tile
    (tiles,). bounces: a photon that meets yet another mirror after so many is cut off. draws:
    pseudo-random (SFC64), or scrambled Sobol points a worker. sinks are filled; one that has light
    already must have it from this lamp. The tally's seconds leave out starting processes and
    building Embree's tree.
    """
    job = task(
        geometry,
        lamp,
        room,
        aim=aim,
        reflectance=reflectance,
        bounces=bounces,
        sinks=sinks,
        draws=draws,
        batch=batch,
    )
    ledger = Ledger(bounces)
    with Crew(job, workers, seed) as crew:
        seconds = crew.throw(photons, ledger, sinks)
    return ledger.tally(job.source.lumens, seconds)


class Crew:
    """One or more processes that throw photons, kept alive between calls."""

    def __init__(self, job: Task, workers: int, seed: int) -> None:
        self.job, self.workers = job, workers
        self.seeds = np.random.SeedSequence(seed)
        self.pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Crew:
        if self.workers > 1:
            self.pool = ProcessPoolExecutor(
                self.workers, get_context("spawn"), initializer=_remember, initargs=(self.job,)
            )
            list(self.pool.map(_wake, range(self.workers)))
        else:
            _warm(self.job)
        return self

    def __exit__(self, *unused: object) -> None:
        if self.pool is not None:
            self.pool.shutdown()

    def throw(self, photons: int, ledger: Ledger, sinks: Sequence[Sink]) -> float:
        """Throws photons, adds them to the ledger and the sinks; returns wall-clock seconds."""
        start = time.perf_counter()
        shares = [
            photons * (each + 1) // self.workers - photons * each // self.workers
            for each in range(self.workers)
        ]
        seeds = self.seeds.spawn(self.workers)
        if self.pool is None:
            parts = [throw(self.job, *each) for each in zip(shares, seeds, strict=True)]
        else:
            parts = list(self.pool.map(_throw_remembered, shares, seeds))
        for part, filled in parts:
            ledger.merge(part)
            for sink, more in zip(sinks, filled, strict=True):
                sink.merge(more)
        return time.perf_counter() - start


_job: list[Task] = []


def _remember(job: Task) -> None:
    _job[:] = [job]
    _warm(job)


def _wake(_: int) -> None:
    # Long enough that the other processes take the other calls, so that all are up and warm.
    time.sleep(0.2)


def _throw_remembered(
    photons: int, seed: np.random.SeedSequence
) -> tuple[Ledger, tuple[Sink, ...]]:
    return throw(_job[0], photons, seed)


def _warm(job: Task) -> None:
    """Has Embree build its tree, and the first batch's memory fetched."""
    throw(job, min(job.batch, 1 << 12), np.random.SeedSequence(1))


def throw(job: Task, photons: int, seed: np.random.SeedSequence) -> tuple[Ledger, tuple[Sink, ...]]:
    """One process's share of the photons."""
    ledger = Ledger(job.bounces)
    sinks = tuple(sink.fresh() for sink in job.sinks)
    origin = job.geometry.centre
    discs = None if job.aim is None else Discs(job.source, job.aim, origin)
    plain = np.random.Generator(np.random.SFC64(seed))
    sobol = qmc.Sobol(4, rng=plain) if job.draws == "sobol" else None
    while photons > 0:
        count = min(job.batch, photons)
        photons -= count
        if sobol is None:
            draw = plain.random((4, count), dtype=np.float32)
        else:
            draw = sobol.random(count).T.astype(np.float32)
        if discs is None:
            thrown = job.source.all_round(draw, origin)
        else:
            thrown = job.source.toward(discs, draw, origin)
        ledger.throw(thrown.weight)
        for sink in sinks:
            sink.photons += count
        _follow(job, thrown, ledger, sinks)
    return ledger, sinks


def _follow(job: Task, photons: Photons, ledger: Ledger, sinks: tuple[Sink, ...]) -> None:
    """Follows one batch to its end. Positions are about the geometry's centre."""
    start, direction, weight = photons
    tile_of, planes = job.geometry.tile_data
    first_panel, offset = job.geometry.mirror_triangles, np.float32(job.geometry.offset)
    given = weight  # lumens each photon set out with
    chain = None
    if any(sink.wants_chain for sink in sinks):
        chain = np.zeros((0, len(weight)), dtype=np.int32)
    for bounces in range(job.bounces + 1):
        face = job.geometry.embree.run(start.T, direction.T, query="INTERSECT")
        out = np.flatnonzero(face < 0)
        _land(job, start, direction, weight, chain, out, bounces, ledger, sinks)
        ledger.add(PANELS, weight[face >= first_panel])

        met = np.flatnonzero((face >= 0) & (face < first_panel))
        tile = tile_of[face[met]]
        plane = planes.take(tile, axis=1)
        normal, ahead = plane[:3], direction.take(met, axis=1)
        cosine = np.einsum("ij,ij->j", normal, ahead)
        front = cosine < 0
        if not front.all():
            ledger.add(BACKS, weight[met[~front]])
            met, tile, cosine = met[front], tile[front], cosine[front]
            plane, ahead = plane[:, front], ahead[:, front]
            normal = plane[:3]
        ended = np.ones(len(weight), dtype=bool)
        ended[met] = False
        if bounces:
            ledger.add(ABSORBED, (given - weight)[ended])
        given, weight = given[met], weight[met]
        if bounces == job.bounces:
            ledger.add(CUT_OFF, weight)
            ledger.add(ABSORBED, given - weight)
            return

        here = start.take(met, axis=1)
        here += ahead * ((plane[3] - np.einsum("ij,ij->j", normal, here)) / cosine)
        # Once more, now from close by: the first step is only as sharp as the way was short.
        lift = plane[3] - np.einsum("ij,ij->j", normal, here) + offset
        start = here + normal * lift
        direction = ahead - normal * (2 * cosine)
        weight = weight * job.reflectance[tile]
        if chain is not None:
            chain = np.vstack([chain[:, met], tile[None]])


def _land(
    job: Task,
    start: np.ndarray,
    direction: np.ndarray,
    weight: np.ndarray,
    chain: np.ndarray | None,
    out: np.ndarray,
    bounces: int,
    ledger: Ledger,
    sinks: tuple[Sink, ...],
) -> None:
    """The photons `out` (m,) of a batch have met nothing more: they reach the room."""
    weight = weight[out]
    if bounces == 0 and job.aim is not None:
        ledger.land(bounces, weight, None)
        return
    direction = direction.take(out, axis=1)
    from_floor = start.take(out, axis=1) + job.geometry.centre.astype(np.float32)[:, None]
    point, surface = job.room.land(from_floor, direction)
    ledger.land(bounces, weight, surface)
    chain = None if chain is None else chain[:, out]
    landing = Landing(point, direction, weight, surface, bounces, chain)
    for sink in sinks:
        if bounces >= sink.least:
            sink.add(landing)
