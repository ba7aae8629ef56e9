"""Which pages are made from the code."""

from __future__ import annotations

from collections.abc import Callable

from tests.docs import commands, scene_file

PAGES: dict[str, Callable[[], str]] = {
    "commands.md": commands.page,
    "scene-file.md": scene_file.page,
}
