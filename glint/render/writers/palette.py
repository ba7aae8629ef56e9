"""A palette of 255 colours for a whole loop, and pictures in it by a dither that stays put.

Each colour is mixed from two palette entries, pixel by pixel by a fixed blue-noise threshold. So
what stands still in the pictures stands still in the palette picture as well.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from glint.render.tone.blue_noise import SIZE, blue_noise

COLOURS = 255
"""Palette entries in use; the 256th of a GIF marks what stays as it was."""

ROUNDS = 10
"""Rounds of Lloyd's method; more hardly move the colours."""

LONGEST_STEP = 12.0
"""Codes that two mixed entries may differ by before grain shows: the unit of the grain's cost."""

GRAIN = 0.1
"""Cost of the mean square difference between mixed entries, beside the error of the mixture."""

Colours = NDArray[np.float64]


def sample_of(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Some pixels of a picture, (n, 3) uint8: all of a small one, at most about 60,000."""
    step = max(1, int((picture.shape[0] * picture.shape[1] / 60_000) ** 0.5))
    return np.ascontiguousarray(picture[::step, ::step]).reshape(-1, 3)


def palette_of(samples: NDArray[np.uint8], most: int = COLOURS) -> NDArray[np.uint8]:
    """(n, 3) uint8 colours, at most so many, black first, for pixels (k, 3) uint8.

    Lloyd's method (1982) on sRGB codes, started from the population's median cut (Heckbert 1982).
    A colour counts by the square root of how often it occurs: so the large dark parts get their
    fine steps, and lamps' colours, though rare, theirs.
    """
    codes = samples.astype(np.int64) @ np.array([65536, 256, 1])
    found, counts = np.unique(codes, return_counts=True)
    colours = np.stack([found >> 16, (found >> 8) & 255, found & 255], axis=1).astype(np.float64)
    weights = np.sqrt(counts)
    if len(colours) < most:
        chosen = colours
    else:
        chosen = _median_cut(colours, weights, most - 1)
        for _ in range(ROUNDS):
            chosen = _centres(colours, weights, _nearest(colours, chosen), len(chosen))
    black_first = np.concatenate([np.zeros((1, 3)), np.round(chosen)])
    _, order = np.unique(black_first, axis=0, return_index=True)
    return black_first[np.sort(order)].astype(np.uint8)


def _median_cut(colours: Colours, weights: Colours, boxes: int) -> Colours:
    """Mean colours of boxes, made by cutting again and again the widest box at its mean."""
    members = [np.arange(len(colours))]
    spreads = [_spread(colours, weights)]
    while len(members) < boxes:
        widest = int(np.argmax([amount for amount, _ in spreads]))
        amount, axis = spreads[widest]
        if amount == 0.0:
            break
        box = members[widest]
        values = colours[box, axis]
        low = values <= np.average(values, weights=weights[box])
        members[widest : widest + 1] = [box[low], box[~low]]
        spreads[widest : widest + 1] = [
            _spread(colours[part], weights[part]) for part in (box[low], box[~low])
        ]
    return np.array([np.average(colours[box], axis=0, weights=weights[box]) for box in members])


def _spread(colours: Colours, weights: Colours) -> tuple[float, int]:
    """Weighted sum of squares about the mean along the axis where it is largest, and that axis."""
    mean = np.average(colours, axis=0, weights=weights)
    squares = weights @ (colours - mean) ** 2
    axis = int(np.argmax(squares))
    return float(squares[axis]), axis


def _nearest(colours: Colours, chosen: Colours) -> NDArray[np.intp]:
    distances = (chosen**2).sum(axis=1) - 2.0 * colours @ chosen.T
    return np.argmin(distances, axis=1)


def _centres(colours: Colours, weights: Colours, owner: NDArray[np.intp], count: int) -> Colours:
    total = np.bincount(owner, weights, count)
    sums = [np.bincount(owner, weights * colours[:, axis], count) for axis in range(3)]
    used = total > 0.0
    return np.stack([part[used] / total[used] for part in sums], axis=1)


# Codes are told apart one by one in the dark, where steps show, and less finely above.
_EDGES = np.concatenate([np.arange(32), np.arange(32, 96, 4), np.arange(96, 256, 10)])
_BINS = len(_EDGES)
_BIN_OF_CODE = np.searchsorted(_EDGES, np.arange(256), side="right") - 1
_CODE_OF_BIN = np.array([np.flatnonzero(b == _BIN_OF_CODE).mean() for b in range(_BINS)])


class Mixer:
    """Turns pictures into palette indices. What a colour is mixed from is found once a colour."""

    def __init__(self, palette: NDArray[np.uint8]) -> None:
        """palette: (n, 3) uint8, at most 256 colours."""
        brightness = palette.astype(np.float64) @ [0.2126, 0.7152, 0.0722]
        self._order = np.argsort(brightness, kind="stable")
        self._palette = palette[self._order].astype(np.float64)
        self._mixtures = np.full(_BINS**3, -1, dtype=np.int32)
        steps = _BIN_OF_CODE.astype(np.int32)
        self._places = (steps * _BINS**2, steps * _BINS, steps)

    def indices(self, picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """(h, w) uint8 palette indices of a picture (h, w, 3) uint8."""
        cells = self._places[0][picture[..., 0]]
        cells += self._places[1][picture[..., 1]]
        cells += self._places[2][picture[..., 2]]
        mixed = self._mixtures[cells]
        unknown = mixed < 0
        if unknown.any():
            new = np.unique(cells[unknown])
            self._mixtures[new] = self._mix(new)
            mixed = self._mixtures[cells]
        height, width = picture.shape[:2]
        noise = blue_noise() * 256 // blue_noise().size
        tiles = (-(-height // SIZE), -(-width // SIZE))
        thresholds = np.tile(noise.astype(np.int32), tiles)[:height, :width]
        shift = np.where((mixed >> 16) > thresholds, 8, 0).astype(np.int32)
        return ((mixed >> shift) & 255).astype(np.uint8)

    def _mix(self, cells: NDArray[np.int32]) -> NDArray[np.int32]:
        """Darker entry, brighter entry (times 2**8) and the brighter one's share (of 256, times
        2**16) for each colour cell.

        Of all pairs of the nearest entry with another, the pair whose mixture is nearest, counting
        the grain that mixing makes (after J. Yliluoma's positional dithering, 2011).
        """
        wanted = np.stack([cells // _BINS**2, cells // _BINS % _BINS, cells % _BINS], axis=1)
        colours = _CODE_OF_BIN[wanted]
        result = np.empty(len(cells), dtype=np.int32)
        for start in range(0, len(cells), 4096):
            some = slice(start, start + 4096)
            result[some] = self._mix_some(colours[some])
        return result

    def _mix_some(self, colours: Colours) -> NDArray[np.int32]:
        palette = self._palette
        first = _nearest(colours, palette)
        base = palette[first]
        step = palette[None, :, :] - base[:, None, :]
        length = (step**2).sum(axis=2)
        along = np.einsum("cpk,ck->cp", step, colours - base)
        share = np.clip(along / np.where(length > 0.0, length, 1.0), 0.0, 0.5)
        rest = ((colours - base) ** 2).sum(axis=1)[:, None]
        error = rest - 2.0 * share * along + share**2 * length
        grain = share * (1.0 - share) * length
        second = np.argmin(error + GRAIN * grain, axis=1)
        amount = np.round(256.0 * np.take_along_axis(share, second[:, None], axis=1)[:, 0])
        amount = amount.astype(np.int64)
        swap = second < first
        darker = self._order[np.where(swap, second, first)]
        brighter = self._order[np.where(swap, first, second)]
        of_brighter = np.where(swap, 256 - amount, amount)
        return (darker | brighter << 8 | of_brighter << 16).astype(np.int32)
