"""A blue-noise tile: thresholds that spread rounding evenly and without pattern over a picture."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

SIZE = 32
WIDTH_OF_SWAY = 1.5
SEED = 7


@cache
def blue_noise() -> NDArray[np.int64]:
    """(32, 32) int, every number 0..1023 once: neighbours differ, and it may be repeated.

    The void-and-cluster method (Ulichney 1993): a pattern of few points is evened out by moving
    the point in the tightest cluster to the largest void; then points are taken away or added one
    by one the same way, and each pixel's place in that order is its threshold.
    """
    sway = _sway()
    points = np.zeros((SIZE, SIZE), dtype=bool)
    points.flat[np.random.default_rng(SEED).choice(SIZE * SIZE, SIZE * SIZE // 10, False)] = True
    crowding = _crowding(points, sway)
    while True:
        cluster = _tightest(points, crowding)
        _put(points, crowding, sway, cluster, False)
        void = _largest_void(points, crowding)
        _put(points, crowding, sway, void, True)
        if void == cluster:
            break
    order = np.zeros((SIZE, SIZE), dtype=np.int64)
    first, first_crowding = points.copy(), crowding.copy()
    for place in range(int(points.sum()) - 1, -1, -1):
        cluster = _tightest(first, first_crowding)
        _put(first, first_crowding, sway, cluster, False)
        order[cluster] = place
    # What crowds a void, of voids only: no point is ever taken away again.
    voids = np.where(points, np.inf, crowding)
    for place in range(int(points.sum()), SIZE * SIZE):
        void = divmod(int(voids.argmin()), SIZE)
        voids += _shifted(sway, void)
        voids[void] = np.inf
        order[void] = place
    order.setflags(write=False)
    return order


Pixel = tuple[int, int]


def _sway() -> NDArray[np.float64]:
    """How much a point at each pixel crowds pixel (0, 0), on a tile that repeats.

    (2 * SIZE, 2 * SIZE) float, doubled so that any shift of it is a plain slice.
    """
    away = np.minimum(np.arange(SIZE), SIZE - np.arange(SIZE)).astype(np.float64)
    square = away[:, None] ** 2 + away[None, :] ** 2
    return np.tile(np.exp(-square / (2.0 * WIDTH_OF_SWAY**2)), (2, 2))


def _shifted(sway: NDArray[np.float64], pixel: Pixel) -> NDArray[np.float64]:
    row, column = SIZE - pixel[0], SIZE - pixel[1]
    return sway[row : row + SIZE, column : column + SIZE]


def _crowding(points: NDArray[np.bool_], sway: NDArray[np.float64]) -> NDArray[np.float64]:
    crowding = np.zeros((SIZE, SIZE))
    for row, column in np.argwhere(points):
        crowding += _shifted(sway, (int(row), int(column)))
    return crowding


def _put(
    points: NDArray[np.bool_],
    crowding: NDArray[np.float64],
    sway: NDArray[np.float64],
    pixel: Pixel,
    there: bool,
) -> None:
    points[pixel] = there
    if there:
        crowding += _shifted(sway, pixel)
    else:
        crowding -= _shifted(sway, pixel)


def _tightest(points: NDArray[np.bool_], crowding: NDArray[np.float64]) -> Pixel:
    return divmod(int(np.argmax(np.where(points, crowding, -np.inf))), SIZE)


def _largest_void(points: NDArray[np.bool_], crowding: NDArray[np.float64]) -> Pixel:
    return divmod(int(np.argmin(np.where(points, np.inf, crowding))), SIZE)
