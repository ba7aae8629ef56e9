"""How many messages a page may send."""

from __future__ import annotations

import time

A_SECOND, STRETCH = 400.0, 2.0
"""Messages a second, on average over so many seconds."""


class Rate:
    """A leaky bucket."""

    def __init__(self) -> None:
        self._level, self._then = 0.0, time.monotonic()

    def allows(self) -> bool:
        """Whether one more is not too many."""
        now = time.monotonic()
        self._level = max(self._level - (now - self._then) * A_SECOND, 0.0) + 1.0
        self._then = now
        return self._level <= A_SECOND * STRETCH
