"""The strings of a scene file, laid in their balls."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from glint.errors import Problem, SceneError, in_words, place
from glint.kernels.arrays import Floats
from glint.photometry.leds import Leds, build_leds
from glint.scene.ball import Ball
from glint.scene.cache import Same, SharedCache
from glint.schema.tables import SceneFile, StringTable, TileTable
from glint.shape.body import Body
from glint.shape.inside import Hollow, bundle, coil
from glint.shape.openings import Cut, cut_open, most_openings

FREE_PER_LED = 1.0
"""How far an LED's middle stays from panels and openings, in its radii."""

BUNDLE, COIL_HEIGHT = 0.6, 0.8  # of the largest sphere inside, across; of the coil's diameter
TURNS = 5.0

MOST_OPENINGS = 4000
"""Openings of a ball with strings: each is asked what it shows to 2,400 places around."""

MOST_PAIRS = 100_000
"""LEDs times openings of their balls: each pair gives a beam, which takes 4 KB, and a tenth of a
millisecond of every map."""


def lay_strings(file: SceneFile, balls: Sequence[Ball], cache: SharedCache) -> tuple[Leds, ...]:
    """The LEDs of every string. Raises SceneError where they do not lie inside their body, where
    no light could come out, or where there would be too many beams to follow.

    cache: where strings are found again that another scene had in the same bodies.
    """
    if not file.string:
        return ()
    bodies = tuple((ball.name, Same(ball.body), ball.tile) for ball in balls)
    found, problems = cache.get(
        ("strings", file.string, bodies), partial(_laid, file.string, balls)
    )
    if problems:
        raise SceneError(str(file.path), problems)
    return tuple(found)


def _laid(
    strings: Sequence[StringTable], balls: Sequence[Ball]
) -> tuple[list[Leds], list[Problem]]:
    """The strings in their balls, and what keeps others out."""
    names = [ball.name for ball in balls]
    owners = [names.index(row.ball) for row in strings]
    problems: list[Problem] = []
    hollows: dict[int, Hollow] = {}
    pairs = 0
    for index in dict.fromkeys(owners):
        mine = [number for number, owner in enumerate(owners) if owner == index]
        leds = sum(strings[number].leds for number in mine)
        ball, body = balls[index], balls[index].body
        count = most_openings(body.frame, *_cuts(ball.tile)) if _has_panels(body) else 0
        pairs += leds * count
        told = _unfit(ball, leds, count, pairs)
        if told is None:
            hollows[index] = Hollow(body.frame)
        else:
            problems.append(Problem(place(("string", mine[0], "ball")), *told))
    found: list[Leds] = []
    hopeless: set[tuple[object, ...]] = set()
    for number, (row, index) in enumerate(zip(strings, owners, strict=True)):
        if index not in hollows:
            continue
        # Bundles that differ in their seeds alone fit alike.
        alike = (index, row.leds, row.led_mm, row.bundle_mm, row.lay)
        try:
            if row.lay == "bundle" and alike in hopeless:
                raise ValueError("no room in the body")
            found.append(build_leds(row, index, _points(row, hollows[index])))
        except ValueError:
            hopeless.add(alike)
            problems.append(_sticks_out(row, number, hollows[index].reach))
    return found, problems


def cut_of(tile: TileTable, body: Body) -> Cut:
    """What the seams, cut corners and holes of a ball's tiles make of its panels."""
    return cut_open(body.frame, *_cuts(tile), (tile.thickness_mm - tile.recess_mm) / 1000.0)


def _cuts(tile: TileTable) -> tuple[float, float, float]:
    """Seam, cut corner and hole, m."""
    return tile.seam_mm / 1000.0, tile.corner_cut_mm / 1000.0, tile.hole_mm / 1000.0


def _has_panels(body: Body) -> bool:
    return body.base not in ("mesh", "rings")


def _unfit(ball: Ball, leds: int, count: int, pairs: int) -> tuple[str, str] | None:
    """What keeps strings out of a ball, found and allowed in words; None if nothing does.

    leds: of all its strings; count: of its openings at most; pairs: of LEDs and openings, with
    those of the balls before it.
    """
    name, body = in_words(ball.name), ball.body
    if not _has_panels(body):
        kind = "a mesh" if body.base == "mesh" else "a ring-laid ball"
        allowed = "a ball of panels: a mesh and a ring-laid ball have no seams or openings"
        return f"{name}, {kind}", allowed
    closed = f"{name}, which is closed all round"
    way_out = "a ball with seam_mm, corner_cut_mm or hole_mm, or with a face left open"
    if count == 0:
        return closed, way_out
    if count > MOST_OPENINGS:
        allowed = f"at most {MOST_OPENINGS}: fewer panels, or not seam_mm and hole_mm together"
        return f"{name}, which has {count} openings", allowed
    if pairs > MOST_PAIRS:
        most = max(MOST_PAIRS - (pairs - leds * count), 0) // count
        found = f"{name}, which has {count} openings, with {leds} LEDs in it"
        allowed = f"at most {most} LEDs behind so many openings: fewer leds or strings, or fewer"
        return found, f"{allowed} panels, seams or holes"
    try:
        cut = cut_of(ball.tile, body)
    except ValueError as error:
        return f"{name}: {error}", "narrower seams or smaller cut corners"
    return None if len(cut.openings.sides) else (closed, way_out)


def _sticks_out(row: StringTable, number: int, reach: float) -> Problem:
    where = place(("string", number, "bundle_mm" if row.lay == "bundle" else row.lay))
    found = f"{row.leds} LEDs of {row.led_mm:g} mm, not all inside the ball {in_words(row.ball)}"
    allowed = "places inside the body, clear of its panels"
    if reach > 0.0:
        allowed += f"; a sphere of {2000.0 * reach:.0f} mm about its centre fits in"
    return Problem(where, found, allowed)


def _points(row: StringTable, hollow: Hollow) -> Floats:
    """Where the LEDs lie, in the ball's own frame: (n, 3) float, m. Raises ValueError."""
    free = FREE_PER_LED * row.led_mm / 2000.0
    if row.points_mm is not None:
        points = np.array(row.points_mm, float) / 1000.0
    elif row.lay == "coil":
        across = BUNDLE * 2.0 * hollow.reach if row.coil_mm is None else row.coil_mm / 1000.0
        high = COIL_HEIGHT * across if row.coil_height_mm is None else row.coil_height_mm / 1000.0
        points = coil(row.leds, 0.5 * across, high, row.turns or TURNS)
    else:
        radius = BUNDLE * hollow.reach if row.bundle_mm is None else row.bundle_mm / 2000.0
        return bundle(hollow, row.leds, radius, free, row.seed)
    if not hollow.holds(points, free).all():
        raise ValueError("outside the body")
    return points
