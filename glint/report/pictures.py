"""Five pictures of each candidate, all on one scale, and the contact sheet of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from glint.analysis.measure import Measures
from glint.render.tone.eye_exposure import develop, eye_exposure
from glint.render.tone.mapping import strongest_channel, to_picture
from glint.report.candidate import Answer

Picture = NDArray[np.uint8]

HEADINGS = (
    "the ball by day",
    "in its light",
    "overhead at one instant",
    "long exposure, without the ambient",
    "spots over a turn",
)

MARGIN, TEXT = 16, 22
PAPER, INK, PALE = (251, 251, 249), (24, 26, 30), (110, 114, 120)


class Strip(NamedTuple):
    """The pictures of one candidate, (h, h, 3) uint8 each, and its main figures in one line."""

    title: str
    figures: str
    pictures: tuple[Picture, ...]


class Strips(NamedTuple):
    """The pictures of all, and what the brightest colour of the maps stands for, spots per m²."""

    strips: list[Strip]
    densest: float


def strips_of(answers: Sequence[Answer]) -> Strips:
    """Pictures of the candidates that were measured: one exposure and one colour scale for all."""
    shown = [one for one in answers if one.measures is not None and one.instant is not None]
    if not shown:
        return Strips([], 0.0)
    instants = [one.instant for one in shown if one.instant is not None]
    turns = [one.turn for one in shown if one.turn is not None]
    # What suits the brightest of them: none is bleached for the sake of another.
    exposure = min(one.exposure for one in shown)
    # A ball whose spots run in each other's tracks is far brighter here than the others.
    long_exposure = 1.0 / (float(np.median([_bright(turn) for turn in turns])) or 1.0)
    maps = [one.measures.map for one in shown if one.measures is not None]
    densest = max(float(np.percentile(m[m > 0.0], 99.0)) if m.any() else 0.0 for m in maps)
    near = float(np.median([eye_exposure(one.lit) for one in shown if one.lit is not None]))
    strips = []
    for one, instant, turn, spots in zip(shown, instants, turns, maps, strict=True):
        assert one.ball is not None and one.lit is not None
        overhead = (
            to_picture(instant, exposure),
            to_picture(turn, long_exposure),
            coloured(spots / (densest or 1.0), instant.shape[:2], one.round),
        )
        pictures = (one.ball, develop(one.lit.copy(), near), *map(squared, overhead))
        assert one.measures is not None
        strips.append(Strip(one.title, _in_short(one.measures), pictures))
    return Strips(strips, densest)


def _bright(turn: NDArray[np.float32]) -> float:
    """Luminance that only the brightest twentieth of what is lit at all goes beyond."""
    lit = strongest_channel(turn)
    return float(np.percentile(lit[lit > 0.0], 95.0)) if lit.any() else 0.0


def _in_short(measures: Measures) -> str:
    figures = measures.figures
    parts = [f"{measures.tiles} tiles", f"{measures.grams:.0f} g"]
    if "spots" in figures:
        parts.append(f"{figures['spots'].mean:.0f} visible spots")
        gap, uneven = figures["gap_deg"].mean, figures["unevenness_of_turn"].mean
        if not math.isnan(gap) and not math.isnan(uneven):
            parts += [f"largest dark gap {gap:.0f}°", f"unevenness of a turn {uneven:.2f}"]
    if "string_images" in figures:
        parts.append(f"{figures['string_images'].mean:.0f} images of LEDs")
    return "  ·  ".join(parts)


def squared(picture: Picture) -> Picture:
    """A picture in the middle of a square of paper, as wide as its longer side."""
    rows, columns = picture.shape[:2]
    side = max(rows, columns)
    square = np.full((side, side, 3), PAPER, np.uint8)
    top, left = (side - rows) // 2, (side - columns) // 2
    square[top : top + rows, left : left + columns] = picture
    return square


def coloured(values: NDArray[np.float64], shape: tuple[int, int], round_: bool) -> Picture:
    """A map of shares 0..1 in colours of even steps, (h, w); black off a round chart."""
    import matplotlib

    colours = matplotlib.colormaps["magma"](np.sqrt(np.clip(values, 0.0, 1.0)))[..., :3]
    picture = Image.fromarray(np.round(255.0 * colours).astype(np.uint8))
    large = np.array(picture.resize((shape[1], shape[0]), Image.Resampling.BICUBIC))
    if round_:
        down, across = ((np.arange(n) + 0.5) / n * 2.0 - 1.0 for n in shape)
        large[np.hypot(down[:, None], across[None]) > 1.0] = 0
    return large


def contact_sheet(strips: Sequence[Strip]) -> Picture:
    """All pictures on one sheet, a row a candidate: (h, w, 3) uint8."""
    side = strips[0].pictures[0].shape[0]
    width = MARGIN + len(HEADINGS) * (side + MARGIN)
    row = TEXT + 8 + side + MARGIN
    sheet = Image.new("RGB", (width, MARGIN + TEXT + len(strips) * row), PAPER)
    pen = ImageDraw.Draw(sheet)
    small, large = ImageFont.load_default(14), ImageFont.load_default(17)
    for column, heading in enumerate(HEADINGS):
        pen.text((MARGIN + column * (side + MARGIN), MARGIN // 2), heading, PALE, small)
    for number, strip in enumerate(strips):
        top = MARGIN + TEXT + number * row
        told = pen.textlength(strip.figures, small)
        pen.text((width - MARGIN - told, top + 2), strip.figures, PALE, small)
        title = f"{number + 1}  {strip.title}"
        while pen.textlength(title, large) > width - told - 4 * MARGIN:
            title = title[:-2] + "…"
        pen.text((MARGIN, top), title, INK, large)
        for column, picture in enumerate(strip.pictures):
            place = (MARGIN + column * (side + MARGIN), top + TEXT + 8)
            sheet.paste(Image.fromarray(picture), place)
    return np.asarray(sheet)
