"""How a scene and a pose show themselves in a notebook."""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence
from html import escape
from typing import Any

_drawers: list[Callable[[Any], bytes]] = []


def draw_with(drawer: Callable[[Any], bytes]) -> None:
    """Have poses drawn by a function from a pose to a PNG; what draws lies further on in the flow,
    so it is told here who it is."""
    _drawers[:] = [drawer]


def png_of(pose: Any) -> bytes | None:
    """A small picture of a pose, or None where nobody said how to draw one."""
    return _drawers[0](pose) if _drawers else None


def image(png: bytes | None, caption: str) -> str:
    """A picture within a page, with a line under it."""
    if png is None:
        return f"<p>{escape(caption)}</p>"
    data = base64.b64encode(png).decode()
    source = f'<img alt="{escape(caption)}" src="data:image/png;base64,{data}">'
    return f"<figure>{source}<figcaption>{escape(caption)}</figcaption></figure>"


def html_table(headings: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    """Rows as a table of a page."""
    head = "".join(f"<th>{escape(heading)}</th>" for heading in headings)
    body = "".join(
        "<tr>" + "".join(f"<td>{escape(str(cell))}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
