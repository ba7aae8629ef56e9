"""Write the pages that are made from the code: `python -m tests.docs`."""

from __future__ import annotations

from pathlib import Path

from tests.docs.pages import PAGES

FOLDER = Path(__file__).parents[2] / "shared" / "docs"

for name, page in PAGES.items():
    (FOLDER / name).write_text(page(), encoding="utf-8")
    print(f"wrote {FOLDER / name}")
