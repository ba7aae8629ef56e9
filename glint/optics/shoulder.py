"""A long shoulder for views with a lamp in them: bright light is drawn together, not cut off."""

from __future__ import annotations

import math

import numpy as np
from numba import prange

from glint.optics.compile import kernel

KNEE, BEND = np.float32(0.5), np.float32(0.8)
"""Exposed light from which on the shoulder is logarithmic, as the density of a print film is to
exposure, and how gently; slope one at the knee. Our own choice."""


@kernel(parallel=True)
def hold_highlights(picture, scale):
    """Expose a picture, and draw together what is brighter than the knee, hue kept.

    picture: (h, w, 3) float32, changed in place. scale: float32, exposure.
    """
    for i in prange(picture.shape[0]):
        for j in range(picture.shape[1]):
            r, g, b = picture[i, j, 0] * scale, picture[i, j, 1] * scale, picture[i, j, 2] * scale
            strongest = max(r, max(g, b))
            if strongest > KNEE:
                held = KNEE + BEND * np.float32(math.log1p((strongest - KNEE) / BEND))
                share = held / strongest
                r, g, b = r * share, g * share, b * share
            picture[i, j, 0], picture[i, j, 1], picture[i, j, 2] = r, g, b
