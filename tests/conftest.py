"""What tests of several stages share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser import Browser, started


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A browser without a window, for pages that glint writes."""
    yield from started()
