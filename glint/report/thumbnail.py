"""A small picture of one body in a dark studio: mirrors that show the lights about them, and the
panels between.

A drawing, not a computation of light: panels and tiles go through a depth buffer, and each mirror
shows a studio of a few soft lights, directly or by way of the first mirror behind its middle. True
mirrors of any number of bounces are in `glint.report.portrait`, at a second a picture.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from glint.kernels.arrays import Floats
from glint.photometry.colour import LUMINANCE
from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.polygons import Polygons

FINER = 2
"""Rows and columns of samples in a pixel."""

EYE = np.array([0.0, -4.4, -0.75])
"""Where the eye is, in radii of the body from its middle: in front and a little below, as guests
are."""

TURNS = 12
"""Ways round in which a body is tried, for the one in which its mirrors catch most light: evenly
spread over the angle after which it looks the same."""

FLARED = 0.8
"""Luminance beyond which a mirror is as bright as can be shown."""

ABOUT = 1.12
"""Half the width of the picture, in radii of the body."""

GROUND, EDGE = (0.020, 0.022, 0.029), (0.0065, 0.0070, 0.0090)
"""The wall behind, in the middle and at the rim of the picture, linear RGB."""

REFLECTANCE = 0.88
PANEL = np.array([0.060, 0.045, 0.036])
CORD = np.array([0.17, 0.16, 0.15])
LIFTED = 2e-4
"""How much nearer a tile counts than the panel it may be flush with, as a share of the way."""

BOXES = (
    ((-0.52, -0.62, 0.58), (0.42, 0.55), (4.6, 4.2, 3.6)),
    ((0.88, -0.42, 0.10), (0.16, 1.00), (1.5, 2.1, 3.4)),
    ((0.20, 0.62, 0.75), (0.70, 0.30), (2.0, 2.1, 2.5)),
    ((-0.92, 0.30, 0.05), (0.10, 0.80), (1.9, 1.3, 2.1)),
    ((0.22, -0.80, -0.55), (0.55, 0.16), (1.05, 0.55, 0.22)),
)
"""Flat lights of the studio: the way to the middle; half the width and height, at distance 1; and
colour. Their edges are what makes a mirror look like one."""

GLOWS = (
    ((-0.2, -0.85, 0.45), (0.20, 0.19, 0.19), 5.0),
    ((0.6, -0.5, 0.3), (0.08, 0.16, 0.34), 4.0),
    ((-0.7, 0.0, -0.4), (0.10, 0.05, 0.15), 5.0),
    ((0.1, -0.6, -0.8), (0.26, 0.12, 0.04), 4.0),
)
"""Soft light around: direction, colour, and how narrow: exp(narrow (cos angle - 1))."""

SOFT = 0.12
"""Width of the edge of a flat light, at distance 1."""

MATT = ((-0.55, -0.6, 0.6), (0.50, 0.46, 0.41)), ((0.85, -0.35, 0.3), (0.13, 0.18, 0.27))
"""What lights the panels: direction and colour."""

AT_ONCE = 4_000_000
"""Rays times triangles that are looked at together."""


Real = NDArray[np.floating[Any]]
"""Of single or double precision."""


class Seen(NamedTuple):
    """What each sample shows: face (h, w) int, -1 for none, panels first and then tiles; ray
    (h, w, 3) float, the way of looking.
    """

    face: NDArray[np.int64]
    ray: Floats


def thumbnail(body: Body, size: int) -> NDArray[np.uint8]:
    """The body as it hangs, +z up, with a piece of its cord: (size, size, 3) sRGB."""
    faces = posed(body)
    seen = look_at(faces, size * FINER)
    linear = _ground(size * FINER).copy()
    top = max(float(shapes.corners[..., 2].max()) for shapes in faces)
    _draw_cord(linear, top)
    shown = seen.face >= 0
    linear[shown] = _shaded(faces, seen.face[shown], seen.ray[shown])
    picture = linear.reshape(size, FINER, size, FINER, 3).mean(axis=(1, 3))
    return _developed(picture)


def posed(body: Body) -> list[Polygons]:
    """What is matt and what is mirror of a body, hung, turned and scaled to radius 1."""
    turn = _best_turn(body)
    return [
        Polygons(shapes.corners @ turn.T / body.radius, shapes.sides)
        for shapes in (_with_rims(body), body.tiles)
    ]


def _best_turn(body: Body) -> Floats:
    """The rotation (3, 3) about the vertical in which mirrors are brightest, by their middles."""
    normals, middles = polygons.normals(body.tiles), polygons.centres(body.tiles) / body.radius
    areas = np.linalg.norm(polygons.area_vectors(body.tiles), axis=1)
    best, most = np.eye(3), -1.0
    for azimuth in np.arange(TURNS) * 2 * math.pi / (TURNS * body.symmetry):
        c, s = math.cos(azimuth), math.sin(azimuth)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        up, way = normals @ turn.T, polygons.unit(middles @ turn.T - EYE)
        facing = (way * up).sum(axis=1)
        mirrored = way - 2.0 * facing[:, None] * up
        shown = np.minimum(_studio(mirrored) @ LUMINANCE, FLARED)
        seen = areas * np.maximum(-facing, 0.0)
        score = float(seen @ shown) / float(seen.sum())
        if score > most * 1.001:
            best, most = turn, score
    return best


def _with_rims(body: Body) -> Polygons:
    """The panels, and the rims of tiles that stand proud of them, all that is matt."""
    tiles, owner = body.tiles, body.tile_panel
    panels = polygons.widen(body.panels, 4)
    under = np.maximum(owner, 0)
    normals = polygons.normals(body.panels)[under]
    proud = ((tiles.corners[:, 0] - body.panels.corners[under, 0]) * normals).sum(axis=1)
    stands = (owner >= 0) & (proud > 1e-3 * body.radius)
    upper = tiles.corners[stands]
    lower = upper - (proud[stands, None] * normals[stands])[:, None]
    sides = [lower, np.roll(lower, -1, axis=1), np.roll(upper, -1, axis=1), upper]
    rims = np.stack(sides, axis=2).reshape(-1, 4, 3)
    # Rows of fewer sides repeat their last corner: what would be a rim between is none.
    rims = rims[np.linalg.norm(rims[:, 0] - rims[:, 1], axis=1) > 1e-9]
    corners = np.concatenate(
        [
            panels.corners,
            polygons.widen(Polygons(rims, np.full(len(rims), 4)), panels.corners.shape[1]).corners,
        ]
    )
    return Polygons(corners, np.concatenate([panels.sides, np.full(len(rims), 4)]))


def _axes() -> Floats:
    """Right, down and ahead of the eye, (3, 3), by rows."""
    ahead = polygons.unit(-EYE)
    right = polygons.unit(np.cross(ahead, (0.0, 0.0, 1.0)))
    return np.stack([right, np.cross(ahead, right), ahead])


def _projected(points: Floats, width: int) -> Floats:
    """Column, row and depth of points (..., 3)."""
    local = (points - EYE) @ _axes().T
    depth = local[..., 2]
    scale = 0.5 * width * float(np.linalg.norm(EYE)) / ABOUT
    across = scale * local[..., :2] / depth[..., None] + 0.5 * width
    return np.concatenate([across, depth[..., None]], axis=-1)


def look_at(faces: list[Polygons], width: int) -> Seen:
    """What the eye sees of posed faces in a square of so many samples."""
    nearest = np.full((width, width), -np.inf)
    found = np.full((width, width), -1, np.int64)
    number = 0
    for shapes, lift in zip(faces, (0.0, LIFTED), strict=True):
        normals, middles = polygons.normals(shapes), shapes.corners[:, 0]
        towards = ((EYE - middles) * normals).sum(axis=1) > 0
        placed = _projected(shapes.corners, width)
        for one in np.flatnonzero(towards):
            _cover(nearest, found, placed[one, : shapes.sides[one]], number + int(one), lift)
        number += len(normals)
    local = (np.arange(width) + 0.5 - 0.5 * width) / (0.5 * width) * ABOUT
    local /= float(np.linalg.norm(EYE))
    right, down, ahead = _axes()
    ray = polygons.unit(ahead + local[None, :, None] * right + local[:, None, None] * down)
    return Seen(found, ray)


def _cover(
    nearest: Floats, found: NDArray[np.int64], corners: Floats, face: int, lift: float
) -> None:
    """Draw one convex polygon, (k, 3) column, row and depth, where nothing is nearer."""
    width = len(nearest)
    low = np.clip(np.floor(corners[:, :2].min(axis=0)).astype(int), 0, width)
    high = np.clip(np.ceil(corners[:, :2].max(axis=0)).astype(int), 0, width)
    if (high <= low).any():
        return
    x = np.arange(low[0], high[0]) + 0.5
    y = (np.arange(low[1], high[1]) + 0.5)[:, None]
    inside = np.ones((len(y), len(x)), np.bool_)
    for (ax, ay), (bx, by) in zip(corners[:, :2], np.roll(corners[:, :2], -1, axis=0), strict=True):
        # Seen from outside corners go anticlockwise, with rows counted downwards clockwise.
        inside &= (bx - ax) * (y - ay) - (by - ay) * (x - ax) <= 0.0
    # On a flat face one over the depth is linear in column and row.
    flat = np.column_stack([corners[:3, :2], np.ones(3)])
    try:
        a, b, c = np.linalg.solve(flat, 1.0 / corners[:3, 2])
    except np.linalg.LinAlgError:  # seen edge-on: it covers nothing
        return
    near = (a * x + b * y + c) * (1.0 + lift)
    window = slice(low[1], high[1]), slice(low[0], high[0])
    drawn = inside & (near > nearest[window])
    nearest[window][drawn] = near[drawn]
    found[window][drawn] = face


def _shaded(faces: list[Polygons], face: NDArray[np.int64], ray: Real) -> Real:
    """Colour (n, 3) of samples by their face and way of looking."""
    panels, tiles = faces
    count = len(panels.sides)
    # Single precision is plenty for colours, and twice as fast.
    ray = ray.astype(np.float32)
    normals = np.concatenate([polygons.normals(panels), polygons.normals(tiles)], dtype=np.float32)
    middles = np.concatenate([polygons.centres(panels), polygons.centres(tiles)])
    away = np.linalg.norm(middles, axis=1).astype(np.float32)[face]
    # Valleys lie deeper than ridges, and get less light from about.
    open_sky = 0.35 + 0.65 * np.clip(away / away.max(), 0.0, 1.0) ** 2
    up = normals[face]
    mirrored = ray - 2.0 * (ray * up).sum(axis=1)[:, None] * up
    behind = _first_hits(tiles, polygons.normals(tiles), middles[count:])
    is_tile = face >= count
    colour = np.empty((len(face), 3), np.float32)
    lit = np.full(3, 0.16)
    for direction, shade in MATT:
        cosine = up[~is_tile] @ polygons.unit(np.array(direction, np.float32))
        lit = lit + np.clip(0.25 + 0.75 * cosine, 0.0, 1.0)[:, None] * np.array(shade, np.float32)
    colour[~is_tile] = PANEL * 1.6 * lit * open_sky[~is_tile, None]
    way = mirrored[is_tile]
    hit = behind[face[is_tile] - count]
    once = hit >= 0
    second = normals[count:][hit[once]]
    way[once] -= 2.0 * (way[once] * second).sum(axis=1)[:, None] * second
    share = np.where(once, REFLECTANCE**2, REFLECTANCE) * open_sky[is_tile]
    colour[is_tile] = share[:, None] * _studio(way)
    return colour


def _studio(ways: Real) -> Real:
    """What shines from directions (n, 3), linear RGB."""
    horizon = np.exp(-((ways[:, 2:] / 0.35) ** 2))
    colour = np.array((0.010, 0.012, 0.018), np.float32) * (1.3 + ways[:, 2:])
    colour = colour + horizon * np.array((0.035, 0.036, 0.050), np.float32)
    for direction, shade, narrow in GLOWS:
        cosine = ways @ polygons.unit(np.array(direction, np.float32))
        colour = colour + np.exp(narrow * (cosine - 1.0))[:, None] * np.array(shade, np.float32)
    for direction, half, shade in BOXES:
        middle = polygons.unit(np.array(direction, np.float32))
        right = polygons.unit(np.cross(middle, np.array((0.0, 0.0, 1.0), np.float32)))
        ahead = np.maximum(ways @ middle, 1e-6)
        across = np.abs(ways @ right) / ahead / half[0]
        upward = (ways @ np.cross(right, middle)) / ahead / half[1]
        inside = _step((1.0 - across) * half[0]) * _step((1.0 - np.abs(upward)) * half[1])
        # Brighter towards its upper end, as a lamp behind a cloth is on one side.
        share = inside * (ahead > 1e-3) * (0.62 + 0.38 * np.clip(upward, -1.0, 1.0))
        colour = colour + share[:, None] * np.array(shade, np.float32)
    return colour


def _step(inside: Real) -> Real:
    """From 0 at an edge to 1 at SOFT inside it, smoothly."""
    share = np.clip(inside / SOFT, 0.0, 1.0)
    return share * share * (3.0 - 2.0 * share)


def _first_hits(tiles: Polygons, normals: Floats, middles: Floats) -> NDArray[np.int64]:
    """The tile that each tile's middle sees mirrored, (n,) int, -1 for the studio itself.

    Of the others, the one whose middle is nearest to the mirrored ray and within its circumscribed
    circle; near enough for a small picture.
    """
    count = len(middles)
    way = polygons.unit(middles - EYE)
    facing = np.flatnonzero((way * normals).sum(axis=1) < 0.0)
    way = way - 2.0 * (way * normals).sum(axis=1)[:, None] * normals
    reach = np.linalg.norm(tiles.corners - middles[:, None], axis=2).max(axis=1)
    found = np.full(count, -1, np.int64)
    step = max(AT_ONCE // count, 1)
    for start in range(0, len(facing), step):
        some = facing[start : start + step]
        slope = way[some] @ normals.T
        offset = ((middles[None] - middles[some, None]) * normals[None]).sum(axis=2)
        with np.errstate(divide="ignore", invalid="ignore"):
            distance = offset / slope
            place = middles[some, None] + distance[..., None] * way[some, None]
            miss = np.linalg.norm(place - middles[None], axis=2)
        # Seen from the front, ahead of the mirror, and not the mirror itself.
        hits = (slope < -1e-9) & (distance > 1e-6) & (miss < 0.8 * reach)
        distance = np.where(hits, distance, np.inf)
        first = distance.argmin(axis=1)
        found[some] = np.where(hits.any(axis=1), first, -1)
    return found


@cache
def _ground(width: int) -> Floats:
    local = (np.arange(width) + 0.5) / width * 2.0 - 1.0
    away = np.clip(np.hypot(local[None, :], 0.9 * (local[:, None] + 0.1)) / 1.25, 0.0, 1.0)
    share = (away * away * (3.0 - 2.0 * away))[..., None]
    return np.array(GROUND) * (1.0 - share) + np.array(EDGE) * share


def _draw_cord(linear: Floats, top: float) -> None:
    """The cord, from the top of the body up out of the picture."""
    width = len(linear)
    column, row, _ = _projected(np.array([0.0, 0.0, top]), width)
    half = 0.0035 * width
    columns = slice(round(column - half), max(round(column + half), round(column - half) + 1))
    linear[: max(round(row) + 2, 0), columns] = CORD


def _developed(linear: Floats) -> NDArray[np.uint8]:
    """Tone, a little glow about what is brightest, and sRGB."""
    from scipy.ndimage import gaussian_filter

    bright = np.clip(linear - 0.9, 0.0, 6.0)
    size = len(linear)
    glow = gaussian_filter(bright, (0.012 * size, 0.012 * size, 0.0))
    toned = linear + 0.18 * glow
    toned = 1.0 - np.exp(-1.15 * toned)
    coded = np.where(
        toned <= 0.0031308, 12.92 * toned, 1.055 * np.maximum(toned, 1e-9) ** (1 / 2.4) - 0.055
    )
    return np.round(255.0 * np.clip(coded, 0.0, 1.0)).astype(np.uint8)
