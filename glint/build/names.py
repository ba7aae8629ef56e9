"""Names of files that are made from the names of balls: the same, safe ones on every system."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

LONGEST = 40
"""Characters of a ball's name that a file's name keeps."""


def stems(names: Sequence[str]) -> tuple[str, ...]:
    """One name a ball, of a to z, 0 to 9 and single dashes, no two alike.

    Accents are left off; a name with nothing left, as in another script, gives "ball-2".
    """
    found: list[str] = []
    for number, name in enumerate(names, start=1):
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain)[:LONGEST].strip("-") or f"ball-{number}"
        # Numbers are put to names that are taken until one is free.
        free, further = stem, 2
        while free in found:
            free, further = f"{stem}-{further}", further + 1
        found.append(free)
    return tuple(found)
