"""`python -m tests.bench.alone RAW TARGET JSON`: encodes the frames of a raw file and prints the
seconds that takes, with neither start nor imports nor reading.

A process of its own for each time, as a command is one: in a process that has encoded before, the
encoder gets back memory that is cleared already, and is up to a fifth quicker.
"""

from __future__ import annotations

import json
import mmap
import sys
from fractions import Fraction
from pathlib import Path

import numpy as np

import glint.render.writers.mp4  # noqa: F401  whose import does not count
from glint.kernels.image.yuv420 import to_video
from glint.render.writers.movie import write_movie
from tests.bench.figures import seconds_of

AT_ONCE = getattr(mmap, "MAP_POPULATE", 0)
"""All of a file is there before it is asked for, where the system can."""


def main() -> None:
    """Encode once."""
    raw, target, told = sys.argv[1:]
    job = json.loads(told)
    with Path(raw).open("rb") as file:
        kept = mmap.mmap(file.fileno(), 0, flags=mmap.MAP_SHARED | AT_ONCE, prot=mmap.PROT_READ)
    frames = np.frombuffer(kept, np.uint8).reshape(job["count"], job["height"], job["width"], 3)
    planes = (np.zeros((side, side), np.uint8) for side in (2, 1, 1))
    to_video(np.zeros((2, 2, 3), np.uint8), *planes)  # its code is fetched
    rate = Fraction(job["rate"])
    print(
        seconds_of(
            lambda: write_movie(Path(target), iter(frames), len(frames), rate, job["entries"])
        )
    )


if __name__ == "__main__":
    main()
