"""Messages of a page, taken apart with mistrust."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from glint.errors import GlintError, in_words, listed

ACTIONS = ("edit", "add", "remove", "undo", "redo", "keep", "back", "drop", "open", "save",
           "export", "cancel", "recover", "view", "shapes")  # fmt: skip
"""Types of messages that are done in their order."""

TYPES = ("hello", "pose", *ACTIONS)

DEEPEST = 12
"""Tables and lists in each other; a scene has seven."""

MOST_SEQ = 2**32 - 1


class BadMessageError(GlintError):
    """No message of the protocol: the page is not listened to any more."""


def message_of(text: object) -> Mapping[str, Any]:
    """The message that a text is. Raises BadMessageError."""
    try:
        if not isinstance(text, str):
            raise ValueError("bytes")
        found = json.loads(text, parse_constant=_no_number)
        # Half a pair of surrogates is no character: no file could hold it.
        json.dumps(found, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        raise BadMessageError("found no JSON") from None
    if not isinstance(found, dict) or found.get("type") not in TYPES:
        kind = found.get("type") if isinstance(found, dict) else None
        raise BadMessageError(f"found type {in_words(kind)}; allowed: {listed(TYPES)}")
    seq = found.get("seq", 0)
    if not isinstance(seq, int) or isinstance(seq, bool) or not 0 <= seq <= MOST_SEQ:
        raise BadMessageError(f"found seq {in_words(seq)}; allowed: a whole number below 2**32")
    if _deeper(found, DEEPEST):
        raise BadMessageError(f"found tables too deep; allowed: {DEEPEST} in each other")
    return {**found, "seq": seq}


def _no_number(text: str) -> float:
    raise ValueError(text)


def _deeper(value: Any, most: int) -> bool:
    if not isinstance(value, dict | list):
        return False
    parts = value.values() if isinstance(value, dict) else value
    return most == 0 or any(_deeper(part, most - 1) for part in parts)
