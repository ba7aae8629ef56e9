"""The measures. A new one is a file of this folder, as `glint.analysis.definitions` tells."""

from __future__ import annotations

from glint.discovery import import_all

import_all(__name__, __path__)
