"""Bases of shapes: what steps start from. A new base is a file of this folder, as `base` tells."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from glint.discovery import import_all
from glint.shape.bases.base import BASES, Base, solid

__all__ = ["BASES", "SOLIDS", "Base", "BaseName", "solid"]

import_all(__name__, __path__)

SOLIDS = tuple(b.name for b in BASES.values() if b.tiling == "glued" and "sides" not in b.keys)
"""Names of the solids that need no further key."""

if TYPE_CHECKING:
    BaseName = str
else:
    BaseName = Literal[tuple(BASES)]
