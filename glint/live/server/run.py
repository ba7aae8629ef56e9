"""The server from its first breath to Ctrl-C."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import signal
import socket
from collections.abc import Callable, Iterator
from typing import NamedTuple

import uvicorn
from starlette.applications import Starlette
from starlette.routing import Route, WebSocketRoute

from glint.errors import GlintError
from glint.live.server.files import page_file
from glint.live.server.guard import Guard, hosts_of, own_addresses
from glint.live.server.hub import Hub, Speaker
from glint.live.studio import Studio

PORT = 8740
"""Taken where it is free and no other is asked for."""

LARGEST = 1 << 20
"""Bytes of a message from a page."""


class Address(NamedTuple):
    """Where the page is. address: with the token; others: the same for other machines."""

    address: str
    others: tuple[str, ...]


def serve(
    studio: Studio,
    port: int | None,
    lan: bool,
    ready: Callable[[Address], None],
    token: str | None = None,
) -> None:
    """Serve until Ctrl-C or a request to end. ready: called once the server listens.

    Raises GlintError for a port that is taken.
    """
    token = secrets.token_urlsafe(24) if token is None else token
    with contextlib.closing(_listening(port, lan)) as listener:
        number = listener.getsockname()[1]
        others = own_addresses() if lan else []
        hub = Hub(studio, lambda said: _is(token, said), Speaker())

        routes = [WebSocketRoute("/socket", hub.serve), Route("/{path:path}", page_file)]
        app = Guard(Starlette(routes=routes), hosts_of(number, others))
        address = Address(
            f"http://127.0.0.1:{number}/#{token}",
            tuple(f"http://{one}:{number}/#{token}" for one in others),
        )
        asyncio.run(_Server(app, hub, lambda: ready(address)).serve(sockets=[listener]))


def _is(token: str, said: object) -> bool:
    return isinstance(said, str) and secrets.compare_digest(said.encode(), token.encode())


def _listening(port: int | None, lan: bool) -> socket.socket:
    host = "0.0.0.0" if lan else "127.0.0.1"
    for number in (PORT, 0) if port is None else (port,):
        try:
            return socket.create_server((host, number), backlog=64)
        except OSError as error:
            if port is not None or number == 0:
                reason = (error.strerror or str(error)).lower()
                raise GlintError(f"port {number}: {reason}; allowed: a free port") from None
    raise AssertionError


class _Server(uvicorn.Server):
    """Says when it listens, and ends within a second: pages are told, nothing is waited for."""

    def __init__(self, app: Guard, hub: Hub, ready: Callable[[], None]) -> None:
        super().__init__(
            uvicorn.Config(
                app,
                ws="websockets-sansio",
                lifespan="off",
                ws_max_size=LARGEST,
                ws_per_message_deflate=False,
                ws_ping_interval=20.0,
                log_config=None,
                log_level="error",
                access_log=False,
                server_header=False,
                date_header=False,
                limit_concurrency=64,
                timeout_keep_alive=5,
                timeout_graceful_shutdown=1,
                h11_max_incomplete_event_size=16384,
            )
        )
        self.hub, self.ready = hub, ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """As in uvicorn."""
        self.hub.start()
        await super().startup(sockets)
        if self.started:
            self.ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """As in uvicorn."""
        self.hub.stop()
        self.force_exit = True
        await super().shutdown(sockets)

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Ctrl-C and requests to end are how this program ends, not errors."""
        numbers = [signal.SIGINT, signal.SIGTERM]
        before = {number: signal.signal(number, self.handle_exit) for number in numbers}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)
