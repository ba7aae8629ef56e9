"""Facts and arrays as one binary message, and back. PROTOCOL.md shows the layout byte by byte."""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from enum import IntEnum
from typing import Any, NamedTuple

import numpy as np

from glint.errors import GlintError

VERSION = 1
"""Of all messages, JSON and binary. A page of another version is told to load itself again."""

MAGIC = b"glnt"
HEAD = struct.Struct("<4sHHII")
ALIGNED = 4
"""Bytes: every array begins at a multiple, so that a page views it in place."""

TYPES = {"f4": "<f4", "f2": "<f2", "i4": "<i4", "u1": "|u1"}
"""Types of arrays by their names on the wire."""


class Kind(IntEnum):
    """What a binary message holds."""

    SCENE = 1
    POSE = 2
    PICTURE = 3
    PAINT = 4
    STRINGS = 5
    SHAPES = 6


class Packet(NamedTuple):
    """One binary message. seq: of the request that it answers, 0 for none."""

    kind: Kind
    seq: int
    facts: dict[str, Any]
    arrays: dict[str, np.ndarray]


class WireError(GlintError):
    """Bytes that are no message."""


def pack(
    kind: Kind, facts: Mapping[str, Any], arrays: Mapping[str, np.ndarray], seq: int = 0
) -> bytes:
    """A message as bytes. arrays: of float32, float16, int32 or uint8, any shape. Raises ValueError
    for another type."""
    places, parts, offset = {}, [], 0
    for name, array in arrays.items():
        kept = np.ascontiguousarray(array)
        code = f"{kept.dtype.kind}{kept.dtype.itemsize}"
        if code not in TYPES:
            raise ValueError(f"{name}: arrays of {kept.dtype} are not sent")
        data = kept.astype(TYPES[code], copy=False).tobytes()
        places[name] = [code, list(kept.shape), offset]
        parts += [data, bytes(-len(data) % ALIGNED)]
        offset += len(data) + -len(data) % ALIGNED
    text = json.dumps({**facts, "arrays": places}, allow_nan=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % ALIGNED)
    return b"".join([HEAD.pack(MAGIC, VERSION, kind, seq, len(text)), text, *parts])


def unpack(data: bytes) -> Packet:
    """The message of some bytes; its arrays are views of them. Raises WireError for bytes that are
    no whole message of this version."""
    if len(data) < HEAD.size:
        raise WireError(f"found {len(data)} bytes; allowed: at least {HEAD.size}")
    magic, version, kind, seq, length = HEAD.unpack_from(data)
    if magic != MAGIC or version != VERSION or kind not in list(Kind):
        raise WireError(f"found another kind of message; allowed: version {VERSION} of glint's")
    start = HEAD.size + length
    try:
        facts = json.loads(data[HEAD.size : start])
        places = facts.pop("arrays")
        arrays = {name: _array(data, start, *place) for name, place in places.items()}
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise WireError(f"found a torn message ({error}); allowed: a whole one") from None
    return Packet(Kind(kind), seq, facts, arrays)


def _array(data: bytes, start: int, code: str, shape: list[int], offset: int) -> np.ndarray:
    kind = np.dtype(TYPES[code])
    count = int(np.prod(shape, dtype=np.int64))
    return np.frombuffer(data, kind, count, start + offset).reshape(shape)
