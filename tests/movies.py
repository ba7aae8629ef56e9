"""Movies read back by imageio: an MP4 by an ffmpeg program of its own, all else by Pillow."""

from __future__ import annotations

from pathlib import Path

import imageio.v3 as iio
import numpy as np


def read_back(path: Path) -> np.ndarray:
    """All frames (n, h, w, 3) uint8."""
    if path.suffix == ".mp4":
        return iio.imread(path, plugin="FFMPEG")
    return iio.imread(path, plugin="pillow", index=..., mode="RGB")


def rate_of(path: Path) -> float:
    """Pictures a second of an MP4, as it says itself."""
    return iio.immeta(path, plugin="FFMPEG")["fps"]
