"""Pieces of a net put side by side on shelves, on one large sheet or on pages."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np


class Place(NamedTuple):
    """Where a piece's lower left corner comes; page: from 0."""

    piece: int
    page: int
    x: float
    y: float


class Layout(NamedTuple):
    """places: one a piece, in the order of the pieces; pages: how many; width, height: of each."""

    places: tuple[Place, ...]
    pages: int
    width: float
    height: float


def on_one_sheet(sizes: Sequence[np.ndarray], gap: float) -> Layout:
    """All pieces (w, h) on one sheet of about the shape of a page on its side."""
    area = sum(float(w + gap) * float(h + gap) for w, h in sizes)
    width = max(float(max(w for w, _ in sizes)), 1.3 * math.sqrt(area))
    found = on_pages(sizes, width, math.inf, gap)
    top = max(p.y + float(sizes[p.piece][1]) for p in found.places)
    right = max(p.x + float(sizes[p.piece][0]) for p in found.places)
    return Layout(found.places, 1, right, top)


def on_pages(sizes: Sequence[np.ndarray], width: float, height: float, gap: float) -> Layout:
    """Pieces (w, h), each no larger than the page, on shelves one above another, tallest first."""
    order = sorted(range(len(sizes)), key=lambda i: (-float(sizes[i][1]), -float(sizes[i][0]), i))
    places: list[Place] = []
    page, x, shelf, tall = 0, 0.0, 0.0, 0.0
    for i in order:
        w, h = (float(value) for value in sizes[i])
        if x > 0 and x + w > width + 1e-9:
            x, shelf, tall = 0.0, shelf + tall + gap, 0.0
        if shelf > 0 and shelf + h > height + 1e-9:
            page, x, shelf, tall = page + 1, 0.0, 0.0, 0.0
        places.append(Place(i, page, x, shelf))
        x, tall = x + w + gap, max(tall, h)
    return Layout(tuple(sorted(places)), page + 1, width, height)
