"""What waits to be sent to one page: of each kind of message that replaces itself the newest."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from typing import Any

import numpy as np

from glint.live.wire import Kind, Packet, pack

MOST_WAITING = 256
"""Messages that a page may leave waiting."""


class Outbox:
    """Messages for one page in their order. Used from the event loop alone."""

    def __init__(self) -> None:
        self._waiting: OrderedDict[str, Any] = OrderedDict()
        self._ready = asyncio.Event()
        self._number = 0
        self._sent: dict[str, np.ndarray] = {}

    def put(self, message: Any, slot: str = "") -> bool:
        """Let a message wait: text, bytes, or a packet, which is packed when it is sent. slot: it
        takes the place of one that waits there. False where too many wait."""
        self._number += 1
        key = slot or f"#{self._number}"
        self._waiting.pop(key, None)
        if len(self._waiting) >= MOST_WAITING:
            return False
        self._waiting[key] = message
        self._ready.set()
        return True

    async def take(self) -> str | bytes:
        """The next message."""
        while not self._waiting:
            self._ready.clear()
            await self._ready.wait()
        _, message = self._waiting.popitem(last=False)
        return self._packed(message) if isinstance(message, Packet) else message

    def _packed(self, packet: Packet) -> bytes:
        """A packet's bytes; of a scene without the arrays that the page has already."""
        if packet.kind != Kind.SCENE:
            return pack(packet.kind, packet.facts, packet.arrays, packet.seq)
        kept = [name for name, array in packet.arrays.items() if self._has(name, array)]
        fresh = {name: array for name, array in packet.arrays.items() if name not in kept}
        self._sent = packet.arrays
        return pack(Kind.SCENE, {**packet.facts, "kept": kept}, fresh, packet.seq)

    def _has(self, name: str, array: np.ndarray) -> bool:
        old = self._sent.get(name)
        if old is None or old.shape != array.shape:
            return False
        return old is array or np.array_equal(old, array)
