"""Small lamp files, written after the layout of LM-63-2002."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np


def lamp_file(
    vertical: Sequence[float] = (0, 30, 60, 90),
    horizontal: Sequence[float] = (0,),
    candela: Callable[[float, float], float] = lambda v, h: 100.0 - v,
    *,
    first: str = "IESNA:LM-63-2002\n[TEST] written for a test",
    tilt: str = "TILT=NONE",
    head: str | None = None,
    factors: str = "1 1 50",
) -> str:
    """A file of candela(v, h) at some angles, degrees. head: the ten numbers before the factors."""
    head = head or f"1 1000 1 {len(vertical)} {len(horizontal)} 1 2 0.1 0.1 0"
    rows = [" ".join(f"{candela(v, h):.12g}" for v in vertical) for h in horizontal]
    angles = [" ".join(f"{a:.12g}" for a in angles) for angles in (vertical, horizontal)]
    return "\n".join([first, tilt, head, factors, *angles, *rows, ""])


def cosine(vertical: float, horizontal: float) -> float:
    """Candela of a flat matt lamp (Lambert) of 100 cd straight ahead."""
    return 100.0 * max(np.cos(np.radians(vertical)), 0.0)
