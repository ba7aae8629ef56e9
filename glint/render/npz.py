"""Light maps as a file of plain arrays (NumPy's .npz), for use in other programs."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from glint.lighting.illumination import LightMap


def write_data(path: Path, maps: dict[str, LightMap]) -> None:
    """Write the arrays of every surface; its name stands for SURFACE. float32, row by row.

    SURFACE_lux: (h, w, 3), illuminance, lx, linear RGB, direct and ambient together
    SURFACE_ambient: (3,), lx, linear RGB: what is the same all over, there always or bounced
        about; taken off SURFACE_lux where SURFACE_area is not 0, it leaves what comes straight
        from lamps and mirrors
    SURFACE_point: (h, w, 3), m, where each texel's middle lies in the room
    SURFACE_area: (h, w), m**2, of each texel
    SURFACE_open: (h, w), bool, where the surface carries nothing, as in an open triangle of a
        frame: light leaves there, and SURFACE_lux is 0
    All are 0 where a texel's middle lies off the surface. Raises OSError.
    """
    arrays = {}
    for name, found in maps.items():
        inside = found.inside[..., None]
        openings = np.zeros_like(found.inside) if found.open is None else found.open
        total = (found.lux + found.ambient.astype(np.float32)) * (inside & ~openings[..., None])
        arrays[f"{name}_lux"] = total.astype(np.float32)
        arrays[f"{name}_ambient"] = found.ambient.astype(np.float32)
        arrays[f"{name}_point"] = (found.point * inside).astype(np.float32)
        arrays[f"{name}_open"] = openings
        arrays[f"{name}_area"] = (found.inside * found.chart.texel_area).astype(np.float32)
    np.savez(path, **arrays)
