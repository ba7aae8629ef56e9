"""Strangers, hostile pages and floods: refused in one line, and the server lives."""

from __future__ import annotations

import json
import socket
import subprocess
import sys
import time
from http.client import HTTPConnection
from pathlib import Path

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from glint.live.server.guard import hosts_of, own_addresses
from tests.live.client import WAIT, Page, Server, serving

SECRETS = (
    "/../../build/templates/sheet.html",
    "/%2e%2e/%2e%2e/build/templates/sheet.html",
    "/..%2f..%2fbuild/templates/sheet.html",
    "/../wire.py",
    "//etc/passwd",
    "/main.js%00.html",
    "/.hidden.js",
    "/PROTOCOL.md",
    "/index.html/",
)


def get(server: Server, path: str = "/", **headers: str) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of a request as it is written, whatever it is."""
    host, _, port = server.host.partition(":")
    asked = HTTPConnection(host, int(port), timeout=WAIT)
    asked.putrequest("GET", path, skip_host=True, skip_accept_encoding=True)
    for name, value in {"Host": server.host, **headers}.items():
        asked.putheader(name, value)
    asked.endheaders()
    answer = asked.getresponse()
    found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
    asked.close()
    return found


def closed(page: Page) -> tuple[int, str]:
    """Code and reason with which the server ends a page."""
    with pytest.raises(ConnectionClosed) as error:
        while True:
            page.socket.recv(timeout=WAIT)
    ended = error.value.rcvd
    assert ended is not None
    return ended.code, ended.reason


def lives(server: Server) -> None:
    """The server answers a new page."""
    page = Page.welcome(server)
    page.send("pose", seconds=0.0)
    page.wait("pose")
    page.socket.close()


def test_the_page_is_served_with_headers_that_keep_others_out(shared: Server) -> None:
    status, headers, body = get(shared)
    assert status == 200 and b"<title>" in body
    assert headers["content-security-policy"].startswith("default-src 'self'")
    assert (headers["x-content-type-options"], headers["cache-control"]) == ("nosniff", "no-store")
    assert get(shared, "/wire.js")[1]["content-type"].startswith("text/javascript")
    assert shared.token.encode() not in body


@pytest.mark.parametrize("path", SECRETS)
def test_no_path_leaves_the_page(shared: Server, path: str) -> None:
    status, _, body = get(shared, path)
    assert status in (400, 404) and b"import" not in body


@pytest.mark.parametrize("host", ["rebound.example:{}", "127.0.0.1", "127.0.0.1:1", "", "[::1]:{}"])
def test_a_name_that_is_pointed_here_is_refused(shared: Server, host: str) -> None:
    host = host.format(shared.host.partition(":")[2])
    assert get(shared, Host=host)[0] == 403
    with pytest.raises((InvalidStatus, ConnectionClosed)):
        connect(f"ws://{shared.host}/socket", origin=f"http://{host}")  # type: ignore[arg-type]
    assert get(shared, Origin="http://elsewhere.example")[0] == 403


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", None])
def test_a_socket_from_another_page_is_refused(shared: Server, origin: str | None) -> None:
    with pytest.raises(InvalidStatus):
        connect(f"ws://{shared.host}/socket", origin=origin)  # type: ignore[arg-type]
    # Under the other name of this machine the page may ask, but only for itself.
    other = shared.host.replace("127.0.0.1", "localhost")
    with pytest.raises(InvalidStatus):
        connect(f"ws://{shared.host}/socket", origin=f"http://{other}")  # type: ignore[arg-type]


def test_hosts_are_a_fixed_list() -> None:
    assert hosts_of(80) == {"127.0.0.1:80", "localhost:80"}
    assert "192.0.2.7:80" in hosts_of(80, ["192.0.2.7"])


@pytest.mark.parametrize("token", ["", "x", None, 7, ["a"], {}])
def test_a_wrong_token_ends_the_socket(shared: Server, token: object) -> None:
    page = Page(shared)
    page.send("hello", token=token, version=1)
    code, reason = closed(page)
    assert code == 1008 and "token" in reason


def test_nothing_is_done_before_the_hello(shared: Server) -> None:
    page = Page(shared)
    page.send("undo")
    assert closed(page)[0] == 1008


@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "null", '{"type": "dance"}', '{"type": 1}', '{"type": "pose", "seconds": NaN}',
     '{"type": "pose", "seq": -1}', '{"type": "pose", "seq": true}', "[" * 100_000,
     '{"type": "edit", "changes": ' + '{"a":' * 40 + "1" + "}" * 41, '{"type": "hello"}',
     '{"type": "edit", "changes": {"title": "\\ud800"}}', "9" * 5000, b"\x00\xff"],
)  # fmt: skip
def test_what_is_no_message_ends_the_socket(shared: Server, text: str | bytes) -> None:
    page = Page.welcome(shared)
    page.socket.send(text)
    assert closed(page)[0] == 1008
    lives(shared)


@pytest.mark.parametrize(
    "message",
    [{"type": "edit"}, {"type": "edit", "changes": 3}, {"type": "edit", "changes": {"": 1}},
     {"type": "edit", "changes": {"ball[9].name": "a"}},
     {"type": "edit", "changes": {}, "group": 1},
     {"type": "pose"}, {"type": "pose", "seconds": "now"}, {"type": "pose", "seconds": 1e300},
     {"type": "pose", "seconds": 0, "frames": "attic"}, {"type": "add", "what": "wall"},
     {"type": "pose", "seconds": 0, "frames": "dome", "width": 10**6},
     {"type": "remove", "what": "ball", "number": 0}, {"type": "remove", "what": "lamp"},
     {"type": "back", "number": 99}, {"type": "drop"}, {"type": "open", "path": "../x.toml"},
     {"type": "view", "view": "dome", "width": -1}, {"type": "cancel", "id": "nobody"},
     {"type": "export", "id": "x", "kind": "film", "path": "a"},
     {"type": "export", "id": "x", "kind": "still", "path": "a.exe"}],
)  # fmt: skip
def test_what_cannot_be_done_is_told_and_nothing_else_happens(
    shared: Server, message: dict[str, object]
) -> None:
    page = Page.welcome(shared)
    if message == {"type": "pose"}:
        message["seconds"] = None
    page.socket.send(json.dumps({"seq": 77, **message}))
    found = page.wait("problem")
    assert (found["seq"], found["doing"]) == (77, message["type"])
    assert "\n" not in found["problems"][0]["text"] and "error in glint" not in str(found)
    page.socket.close()


def test_a_flood_ends_the_socket_and_not_the_server(shared: Server) -> None:
    page = Page.welcome(shared)
    with pytest.raises(ConnectionClosed):
        for _ in range(20_000):
            page.send("pose", seconds=0.0)
    lives(shared)


def test_a_message_that_is_too_large_ends_the_socket(shared: Server) -> None:
    page = Page.welcome(shared)
    page.socket.send(json.dumps({"type": "edit", "changes": {"title": "x" * (2 << 20)}}))
    assert closed(page)[0] == 1009
    lives(shared)


def test_torn_frames_and_handshakes_do_no_harm(shared: Server) -> None:
    host, _, port = shared.host.partition(":")
    for data in (
        b"\x00" * 64,
        b"GET / HTTP/1.1\r\nHost",
        b"GET /socket HTTP/1.1\r\nUpgrade: x\r\n\r\n",
    ):
        with socket.create_connection((host, int(port)), timeout=WAIT) as raw:
            raw.sendall(data)
    page = Page.welcome(shared)
    page.socket.socket.sendall(b"\xff\xff\xff\xff torn")
    page.socket.socket.close()
    lives(shared)


def test_only_so_many_pages_are_let_in(shared: Server) -> None:
    pages = [Page.welcome(shared) for _ in range(4)]
    with pytest.raises((InvalidStatus, ConnectionClosed)):
        Page.welcome(shared)
    for page in pages:
        page.socket.close()
    for _ in range(100):
        try:
            lives(shared)
        except (InvalidStatus, ConnectionClosed):
            time.sleep(0.1)  # those that were closed are still leaving
        else:
            return
    pytest.fail("nobody is let in any more")


def test_only_where_it_is_asked_for_other_machines_are_let_in(folder: Path, tmp_path: Path) -> None:
    args = (str(folder / "evening.toml"), "--lan")
    with serving(*args, cwd=tmp_path, state=tmp_path / "state") as server:
        port = server.host.partition(":")[2]
        for address in own_addresses():
            assert get(server, Host=f"{address}:{port}")[0] == 200
        assert get(server, Host=f"rebound.example:{port}")[0] == 403
        said = server.stop()[1]
        assert "every machine of the local network" in said
        assert all(f"http://{one}:{port}/#{server.token}" in said for one in own_addresses())


def test_a_port_that_is_taken_is_told(shared: Server, tmp_path: Path) -> None:
    port = shared.host.partition(":")[2]
    command = [sys.executable, "-P", "-m", "glint", "live", "--no-browser", "--port", port]
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, timeout=WAIT)
    assert done.returncode == 1 and done.stdout == ""
    assert done.stderr.count("\n") == 1 and f"port {port}" in done.stderr
