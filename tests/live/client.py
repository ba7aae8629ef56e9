"""A page as tests play it: the server in a process of its own, and a plain socket."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self
from urllib.parse import urlsplit

from websockets.sync.client import ClientConnection, connect

from glint.live.wire import Packet, unpack

WAIT = 120.0
"""Seconds that anything may take; the first pose after an install is compiled meanwhile."""


class Server:
    """`glint live` in a process of its own."""

    def __init__(self, *args: str, cwd: Path, state: Path) -> None:
        self.scene = Path(args[0]) if args else Path()
        command = [sys.executable, "-P", "-m", "glint", "live", "--no-browser", *args]
        self.process = subprocess.Popen(
            command,
            cwd=cwd,
            env={**os.environ, "XDG_STATE_HOME": str(state), "PYTHONPATH": str(Path.cwd())},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        parts = urlsplit(self.address)
        self.host, self.token = parts.netloc, parts.fragment

    def stop(self, number: int = signal.SIGINT) -> tuple[str, str]:
        """End it by a signal; what else it had said on standard output and standard error."""
        self.process.send_signal(number)
        return self.process.communicate(timeout=WAIT)


@contextmanager
def serving(*args: str, cwd: Path, state: Path) -> Iterator[Server]:
    """A server, which is gone in the end."""
    server = Server(*args, cwd=cwd, state=state)
    try:
        yield server
    finally:
        server.process.kill()
        server.process.communicate()


class Page:
    """One socket. scene, poses: as they came last; other messages wait in `heard`."""

    def __init__(self, server: Server, **more: Any) -> None:
        origin = f"http://{server.host}"
        self._open = connect(f"ws://{server.host}/socket", origin=origin, max_size=None, **more)
        self.socket: ClientConnection = self._open.__enter__()
        self.seq = 0
        self.heard: list[dict[str, Any] | Packet] = []

    @classmethod
    def welcome(cls, server: Server) -> Self:
        """A page that has said hello and has seen the scene."""
        page = cls(server)
        page.send("hello", token=server.token, version=1)
        page.wait("candidates")
        return page

    def send(self, kind: str, /, **keys: Any) -> int:
        """Send a message; its seq."""
        self.seq += 1
        self.socket.send(json.dumps({"type": kind, "seq": self.seq, **keys}))
        return self.seq

    def wait(self, kind: str) -> Any:
        """The next message of a type or kind; those before it stay in `heard`."""
        while True:
            found = self._next()
            self.heard.append(found)
            name = found.kind.name.lower() if isinstance(found, Packet) else found["type"]
            if name == kind:
                return found
            assert name != "problem", found

    def _next(self) -> dict[str, Any] | Packet:
        data = self.socket.recv(timeout=WAIT)
        return json.loads(data) if isinstance(data, str) else unpack(data)
