"""Candidates compared once for all tests of this stage."""

from __future__ import annotations

import pytest

from glint.analysis.candidates import candidates_of
from glint.report.candidate import Answer
from glint.report.compare import compare
from glint.schema.read import scene_of
from glint.schema.tables import SceneFile
from tests.report.tables import TABLES


@pytest.fixture(scope="session")
def file() -> SceneFile:
    return scene_of(TABLES)


@pytest.fixture(scope="session")
def answers(file: SceneFile) -> list[Answer]:
    return compare(candidates_of(file), pictures=True, tolerance=0.1)
