"""Exposure and tone curve: how much light looks how bright in a picture.

One scale serves a whole loop (`auto_exposure`), and one curve every picture (`to_picture`): a
long toe makes the dark deep, a long shoulder keeps shape in the bright, and a lamp's colour
holds its hue while it bleaches to white.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from glint.render.tone.blue_noise import blue_noise

TOE = 0.12
"""Exposed light that the toe halves; what is darker is steeper in contrast: our own choice."""

BLEACH = 6
"""Power of the picture value that is the share of white in a colour."""

REACH = 16.0
"""Exposed light beyond which nothing gets brighter: the curve is within 2e-7 of white."""

CURVE_ROWS = 1024

KNEE, BEND = 0.5, 0.8
"""Exposed light from which on highlights are drawn together, and how gently: our own choice."""

FAR_REACH, FAR_CURVE_ROWS = 4000.0, 16384
"""The same with highlights drawn together: 4,000 comes to 7.3, within 7e-4 of white."""

CODE_STEPS = 4096

MOST_SAMPLES = 1_000_000
"""Pixels that an exposure is judged by; of more, every n-th."""

VISIBLE = 1.2
"""Light over ambient that counts as lit."""

DARKEST = 0.018
"""Exposed ambient that is just above black: a code of about 8 of 255."""

LIGHTEST_AMBIENT = 0.05
"""Exposed ambient that still looks dark: a code of about 32 of 255."""

MOST_LIFT = 4.0
"""How far bright spots may go over the shoulder to bring the ambient out of the black."""

BRIGHT = 1.5
"""Exposed light of a bright spot: a code of about 225 of 255."""

FEWEST_LIT = 16
"""Lit pixels for a percentile to mean anything; of fewer, the brightest counts."""


def picture_value(exposed: ArrayLike) -> NDArray[np.float64]:
    """Linear picture value 0..1 of exposed light.

    exposed: (...) float, light times scale; 1 is where the shoulder bends, value 0.59.

    1 - exp(-x), the share of grains in a photographic layer that have caught at least one of x
    quanta each on average (Silberstein 1922), of light that has passed a toe x = v**2 / (v + TOE):
    a slope of two on logarithmic axes well below TOE and of one well above it. A picture of a
    dark room needs more contrast than the room, for it is looked at in a lighter one.
    """
    light = np.asarray(exposed, dtype=np.float64)
    toed = light**2 / (light + TOE)
    return -np.expm1(-toed)


def drawn_together(exposed: ArrayLike) -> NDArray[np.float64]:
    """Exposed light with its highlights drawn together by a long shoulder, not cut off.

    exposed: (...) float. Logarithmic from KNEE on, as the density of a print film is to its
    exposure, with the slope one at the knee.
    """
    light = np.asarray(exposed, dtype=np.float64)
    return np.minimum(light, KNEE) + BEND * np.log1p(np.maximum(light - KNEE, 0.0) / BEND)


def srgb_code(linear: ArrayLike) -> NDArray[np.float64]:
    """sRGB code 0..255, not rounded, of linear values (...) in 0..1 (IEC 61966-2-1)."""
    value = np.asarray(linear, dtype=np.float64)
    encoded = np.where(
        value <= 0.0031308, 12.92 * value, 1.055 * np.maximum(value, 1e-9) ** (1 / 2.4) - 0.055
    )
    return 255.0 * encoded


class _Tables(NamedTuple):
    reach: float
    curve: NDArray[np.float32]
    codes: NDArray[np.uint16]
    thresholds: NDArray[np.uint16]


@cache
def _tables(shoulder: bool) -> _Tables:
    reach, rows = (FAR_REACH, FAR_CURVE_ROWS) if shoulder else (REACH, CURVE_ROWS)
    exposed = reach * np.linspace(0.0, 1.0, rows + 1) ** 2
    value = picture_value(drawn_together(exposed) if shoulder else exposed)
    white = value * value**BLEACH
    columns = (value - white, white)
    curve = np.stack([part for c in columns for part in (c, np.diff(c, append=c[-1]))], axis=1)
    codes = srgb_code(np.linspace(0.0, 1.0, CODE_STEPS) ** 2)
    noise = blue_noise()
    return _Tables(
        reach,
        curve.astype(np.float32),
        np.round(256.0 * codes).astype(np.uint16),
        (noise * 256 // noise.size).astype(np.uint16),
    )


def to_picture(
    light: NDArray[np.floating],
    scale: ArrayLike,
    picture: NDArray[np.uint8] | None = None,
    changed: NDArray[np.bool_] | None = None,
    shoulder: bool = False,
) -> NDArray[np.uint8]:
    """Eight-bit sRGB picture of linear light.

    light: (h, w, 3) float, linear RGB in any unit; scale: exposure, per that unit, one for all or
    (3,) float, one a channel.
    picture: (h, w, 3) uint8 to write into, else a new one. Returns the picture.
    changed: blocks of eight pixels a side to work out, (ceil(h / 8), ceil(w / 8)) bool, else all.
    shoulder: for views with a lamp in them: highlights are `drawn_together` first, hue kept.

    The strongest channel takes the tone curve; the others keep their ratio to it, and all are
    mixed with white by the sixth power of the value, so hue stays (a straight line to white in
    linear light) where channels clipped one by one would turn a warm lamp yellow. Codes are
    rounded by a blue-noise threshold that stays put from frame to frame; where there is no light
    the code is 0.
    """
    from glint.kernels.image.tone_mapping import BLOCK, develop

    if picture is None:
        picture = np.empty(light.shape, dtype=np.uint8)
    if changed is None:
        blocks = (-(-light.shape[0] // BLOCK), -(-light.shape[1] // BLOCK))
        changed = np.ones(blocks, np.bool_)
    tables = _tables(shoulder)
    develop(
        np.ascontiguousarray(light, dtype=np.float32),
        np.full(3, scale, np.float32),
        np.float32(tables.reach),
        tables.curve,
        tables.codes,
        tables.thresholds,
        changed,
        picture,
    )
    return picture


def strongest_channel(pixels: NDArray[np.floating]) -> NDArray[np.floating]:
    """(...), of pixels (..., 3): ten times as quick as `max` along so short an axis."""
    return np.maximum(np.maximum(pixels[..., 0], pixels[..., 1]), pixels[..., 2])


def auto_exposure(samples: ArrayLike) -> float:
    """The scale that brings bright spots to the shoulder and keeps the fabric just above black.

    samples: (..., 3) float, linear RGB of one picture or several of a loop. Returns a scale for
    `to_picture`, > 0; 1 where there is no light at all.

    The ambient is the tenth percentile of what is not black, lit is what exceeds it by a fifth,
    and the eightieth percentile of the lit comes to BRIGHT: direct of a lamp that misses its ball,
    far brighter but small, hardly moves that. Then the ambient is lifted to DARKEST (by MOST_LIFT
    at most) or lowered to LIGHTEST_AMBIENT.
    """
    pixels = np.asarray(samples).reshape(-1, 3)
    pixels = pixels[:: max(1, -(-len(pixels) // MOST_SAMPLES))]
    strongest = strongest_channel(pixels).astype(np.float64)
    seen = strongest[np.isfinite(strongest) & (strongest > 0.0)]
    if len(seen) == 0:
        return 1.0
    ambient = float(np.percentile(seen, 10.0))
    lit = seen[seen > VISIBLE * ambient]
    if len(lit) == 0:
        return LIGHTEST_AMBIENT / ambient
    bright = float(np.percentile(lit, 80.0)) if len(lit) >= FEWEST_LIT else float(lit.max())
    scale = BRIGHT / bright
    scale = max(scale, min(DARKEST / ambient, MOST_LIFT * scale))
    return min(scale, LIGHTEST_AMBIENT / ambient)
