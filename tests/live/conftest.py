"""One server for the tests that leave it as it was, and a folder with a scene for all others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.live.client import Server, serving

SCENE = """\
# The evening of the tests: this comment stays.
[room]
radius_m = 3.0

[[ball]]
name = "quince"  # and so does this one
shape = { base = "cuboctahedron" }
hang = { height_m = 1.8 }

[[lamp]]
at_m = [2.0, 0.0, 1.0]
"""


def written(folder: Path) -> Path:
    """The scene in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "evening.toml"
    file.write_text(SCENE)
    return file


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server that many tests ask; none of them saves, and each undoes what it does."""
    folder = tmp_path_factory.mktemp("shared")
    with serving(str(written(folder / "scenes")), cwd=folder, state=folder / "state") as server:
        yield server


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a scene."""
    written(tmp_path / "scenes")
    return tmp_path / "scenes"
