"""What was worked out for a scene and its edited copies, found again where it still holds."""

from __future__ import annotations

import dataclasses
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import numpy as np

Value = TypeVar("Value")

MOST_BYTES = 1 << 29
"""Of arrays that a scene and its edited copies keep together; what was not asked for longest goes
first."""


class Same:
    """A key that is equal only where it stands for the very same object, which it keeps alive."""

    def __init__(self, thing: Any) -> None:
        self.thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.thing is self.thing

    def __hash__(self) -> int:
        return id(self.thing)


class SharedCache:
    """Values by keys that hold all that they depend on; shared by a scene and its edited copies.

    Holding no more than `most` bytes of arrays, it forgets the value not asked for longest. Safe
    to use from several threads, of which two may work out one value at once.
    """

    def __init__(self, most: int = MOST_BYTES) -> None:
        self.most = most
        self.bytes = 0
        self._kept: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._lock = threading.Lock()

    def __getstate__(self) -> dict[str, Any]:
        """A worker's copy begins empty."""
        return {"most": self.most}

    def __setstate__(self, state: dict[str, Any]) -> None:
        self.__init__(state["most"])

    @contextmanager
    def lent(self, key: Hashable, make: Callable[[], Value]) -> Iterator[Value]:
        """Something large to work in, as the last one who asked left it; made anew where somebody
        else has it."""
        with self._lock:
            value, size = self._kept.pop(key, (None, 0))
            self.bytes -= size
        taken = make() if value is None else value
        try:
            yield taken
        finally:
            self.get(key, lambda: taken)

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The value of a key, made now if it is not there."""
        with self._lock:
            if key in self._kept:
                value, size = self._kept.pop(key)
                # Some values work out more of themselves later on.
                now = bytes_of(value)
                self._kept[key] = (value, now)
                self.bytes += now - size
                self._forget()
                return value
        value = make()
        size = bytes_of(value)
        if size > self.most:
            return value
        with self._lock:
            if key in self._kept:
                return self._kept[key][0]
            self._kept[key] = (value, size)
            self.bytes += size
            self._forget()
        return value

    def _forget(self) -> None:
        while self.bytes > self.most and self._kept:
            _, (_, gone) = self._kept.popitem(last=False)
            self.bytes -= gone


def bytes_of(value: Any) -> int:
    """Bytes of all arrays in a value, at least 1,000 for what is about them."""
    return 1000 + _arrays(value)


def _arrays(value: Any) -> int:
    if isinstance(value, np.ndarray):
        return value.nbytes
    parts: Iterable[Any] = ()
    if isinstance(value, tuple | list):
        parts = value
    elif isinstance(value, dict):
        parts = value.values()
    elif dataclasses.is_dataclass(value):
        parts = vars(value).values()
    return sum(_arrays(part) for part in parts)
