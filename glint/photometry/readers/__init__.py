"""Readers of lamp files. A new one is a file of this folder, as `reader` tells."""

from __future__ import annotations

from glint.discovery import import_all
from glint.photometry.readers.reader import PhotometryError, endings, formats, read_photometry

__all__ = ["PhotometryError", "endings", "formats", "read_photometry"]

import_all(__name__, __path__)
