"""All pages that are open on one session, and the worker that serves them."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Callable
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

from glint.errors import GlintError, printable
from glint.live.server.incoming import ACTIONS, BadMessageError, message_of
from glint.live.server.outbox import Outbox
from glint.live.server.rate import Rate
from glint.live.studio import Studio
from glint.live.wire import VERSION
from glint.live.worker import Asked, Worker

MOST_PAGES = 4
HELLO_WITHIN = 5.0
"""Seconds."""

MOST_LINES = 100
"""That are said of pages that are refused, and of errors."""

POLICY, TOO_MANY = 1008, 1013
"""Close codes of RFC 6455 and its registry."""

Tell = Callable[[str], None]


class Hub:
    """Lets pages in, passes on what they ask, and sends what the worker finds."""

    def __init__(self, studio: Studio, is_token: Callable[[object], bool], say: Tell) -> None:
        """is_token: compares in constant time. say: one line for whoever runs the server."""
        self.studio, self.is_token, self.say = studio, is_token, say
        self.worker = Worker(studio, self._failed)
        self._pages: dict[int, tuple[Outbox, WebSocket]] = {}
        self._closing: set[asyncio.Future[None]] = set()
        self._newcomers = self._number = 0
        self._loop: asyncio.AbstractEventLoop | None = None

    def start(self) -> None:
        """Begin; called in the event loop."""
        self._loop = asyncio.get_running_loop()
        self.studio.deliver = self._deliver
        self.worker.start()

    def stop(self) -> None:
        """Do nothing more; the server itself closes the sockets, with code 1012."""
        self.worker.stop()
        self.studio.stop()

    async def serve(self, socket: WebSocket) -> None:
        """One page from its hello to its end."""
        if len(self._pages) + self._newcomers >= MOST_PAGES:
            await _close(socket, TOO_MANY, f"{MOST_PAGES} pages are open already")
            return
        self._newcomers += 1
        try:
            await socket.accept()
            is_welcome = await self._greeted(socket)
        except (WebSocketDisconnect, RuntimeError):
            return
        finally:
            self._newcomers -= 1
        if is_welcome:
            await self._attend(socket)

    async def _greeted(self, socket: WebSocket) -> bool:
        try:
            text = await asyncio.wait_for(socket.receive_text(), HELLO_WITHIN)
            hello = message_of(text)
        except (TimeoutError, KeyError, BadMessageError):
            await self._refuse(socket, "found no hello")
            return False
        if hello["type"] != "hello" or not self.is_token(hello.get("token")):
            await self._refuse(socket, "found no token, or an old one; open the address again")
            return False
        if hello.get("version") != VERSION:
            await self._refuse(socket, "found a page of another version; load it again")
            return False
        return True

    async def _refuse(self, socket: WebSocket, why: str) -> None:
        self.say(f"a page was refused: {why}")
        await _close(socket, POLICY, why)

    async def _attend(self, socket: WebSocket) -> None:
        self._number += 1
        page, outbox, rate = self._number, Outbox(), Rate()
        self._pages[page] = (outbox, socket)
        sending = asyncio.create_task(_send_all(socket, outbox))
        self.worker.act(Asked(page, {"type": "welcome"}))
        try:
            while True:
                text = await socket.receive_text()
                if not rate.allows():
                    raise BadMessageError("found too many messages")
                message = message_of(text)
                if message["type"] == "pose":
                    self.worker.pose(Asked(page, message))
                elif message["type"] not in ACTIONS:
                    raise BadMessageError("found a second hello")
                elif not self.worker.act(Asked(page, message)):
                    raise BadMessageError("found too many edits that wait")
        except (WebSocketDisconnect, RuntimeError):
            pass  # gone
        except KeyError:
            await self._refuse(socket, "found bytes; allowed: text")
        except BadMessageError as error:
            await self._refuse(socket, str(error))
        finally:
            sending.cancel()
            self._pages.pop(page, None)
            self.worker.forget(page)
            self.worker.act(Asked(page, {"type": "gone"}))

    def _deliver(self, page: int | None, message: Any, slot: str = "") -> None:
        """Send something to one page, or to all; called in the worker's thread."""
        assert self._loop is not None
        if not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._put, page, message, slot)

    def _put(self, page: int | None, message: Any, slot: str) -> None:
        for number, (outbox, socket) in list(self._pages.items()):
            if page in (None, number) and not outbox.put(message, slot):
                del self._pages[number]
                self._close_later(socket)

    def _close_later(self, socket: WebSocket) -> None:
        task = asyncio.ensure_future(_close(socket, TOO_MANY, "the page does not read"))
        self._closing.add(task)
        task.add_done_callback(self._closing.discard)

    def _failed(self, asked: Asked, error: Exception) -> None:
        if not isinstance(error, GlintError):
            self.say(f"internal error: {type(error).__name__}: {error}")
        self.studio.tell_problem(asked, error)


async def _send_all(socket: WebSocket, outbox: Outbox) -> None:
    try:
        while True:
            message = await outbox.take()
            if isinstance(message, str):
                await socket.send_text(message)
            else:
                await socket.send_bytes(message)
    except (WebSocketDisconnect, RuntimeError):
        return  # gone; the one who listens hears of it too


async def _close(socket: WebSocket, code: int, reason: str) -> None:
    try:
        # A reason has room for 123 bytes.
        await socket.close(code, printable(reason, 100).encode()[:120].decode(errors="ignore"))
    except (WebSocketDisconnect, RuntimeError):
        return  # gone already


class Speaker:
    """Says lines on standard error, but not without end."""

    def __init__(self) -> None:
        self._left = MOST_LINES

    def __call__(self, line: str) -> None:
        if self._left:
            self._left -= 1
            more = "" if self._left else " (no more of these are shown)"
            print(f"glint: {printable(line, 300)}{more}", file=sys.stderr, flush=True)
