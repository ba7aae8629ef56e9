"""The files of the page, from inside the package."""

from __future__ import annotations

import re
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

MEDIA = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json",
    ".glsl": "text/plain; charset=utf-8",
    ".txt": "text/plain; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".webp": "image/webp",
    ".jpg": "image/jpeg",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
    ".wasm": "application/wasm",
}
"""Types by ending; a file with another ending is not served."""

_PART = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,99}")


async def page_file(request: Request) -> Response:
    """One file of the page; index.html for the address by itself."""
    found = _found(request.path_params.get("path") or "index.html")
    if found is None:
        return PlainTextResponse("there is no such file", 404)
    data, media = found
    return Response(data, media_type=media)


def _found(path: str) -> tuple[bytes, str] | None:
    parts = path.split("/")
    media = MEDIA.get("." + path.rpartition(".")[2])
    if media is None or len(parts) > 6 or not all(_PART.fullmatch(part) for part in parts):
        return None
    place = files("glint.live") / "page"
    for part in parts:
        place = place / part
    return (place.read_bytes(), media) if place.is_file() else None
