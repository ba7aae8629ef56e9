"""What tests of compiled code share."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import glint


@pytest.fixture
def install(tmp_path) -> Path:
    """A copy of the package beside whose source nothing can be kept."""
    site = tmp_path / "site"
    source = Path(glint.__file__).parent
    shutil.copytree(source, site / "glint", ignore=shutil.ignore_patterns("__pycache__"))
    (site / "glint" / "kernels" / "__pycache__").write_text("no folder")
    return site
