"""Pictures inside a page."""

from __future__ import annotations

import base64
import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image


def as_data(picture: NDArray[np.uint8], quality: int = 88) -> str:
    """A picture (h, w, 3) as a data address that a page can hold (RFC 2397), WebP."""
    held = io.BytesIO()
    Image.fromarray(picture).save(held, "WEBP", quality=quality, method=4)
    return f"data:image/webp;base64,{base64.b64encode(held.getvalue()).decode('ascii')}"
