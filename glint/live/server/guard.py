"""Who may ask: names of this machine, pages of this server, and headers that keep others out."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Iterable
from contextlib import suppress
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; img-src 'self' blob: data:; object-src 'none'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""On every answer. Pictures come over the socket, and so are blobs."""


SOMEWHERE = "192.0.2.1"
"""An address outside, kept for documentation (RFC 5737)."""


def own_addresses() -> list[str]:
    """The IPv4 addresses under which other machines of the local network may reach this one."""
    found = []
    # No packet is sent: connecting a datagram socket only chooses the way out.
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way, suppress(OSError):
        way.connect((SOMEWHERE, 9))
        found.append(str(way.getsockname()[0]))
    with suppress(OSError):  # a name of its own that this machine cannot look up
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    return list(dict.fromkeys(one for one in found if not ipaddress.ip_address(one).is_loopback))


def hosts_of(port: int, addresses: Iterable[str] = ()) -> frozenset[str]:
    """What the Host header may say: this machine's own names, and the addresses given."""
    return frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost", *addresses))


class Guard:
    """Refuses what does not name this server, or comes from another page; adds HEADERS.

    A fixed list is the only check that holds against names that are pointed here afterwards (DNS
    rebinding): there, Origin and Host agree.
    """

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app, self.hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(Headers(scope=scope), scope["type"] == "websocket")
        if refusal is not None and scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": refusal})
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                added = [(k.lower().encode(), v.encode()) for k, v in HEADERS.items()]
                message = {**message, "headers": [*message.get("headers", []), *added]}
            await send(message)

        app = self.app if refusal is None else PlainTextResponse(refusal, 403)
        await app(scope, receive, with_headers)

    def _refusal(self, headers: Headers, is_socket: bool) -> str | None:
        if headers.getlist("host") not in [[host] for host in self.hosts]:
            return "this server does not go by that name"
        origins = headers.getlist("origin")
        if not origins:
            # Browsers always say where a socket is opened from.
            return "a socket is opened from the page only" if is_socket else None
        if len(origins) > 1 or origins[0] not in {f"http://{host}" for host in self.hosts}:
            return "another page may not ask"
        if is_socket and urlsplit(origins[0]).netloc != headers["host"]:
            return "another page may not ask"
        return None
