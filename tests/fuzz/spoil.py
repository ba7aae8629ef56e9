"""Good scenes and files put wrong, in a place or two."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from random import Random
from typing import Any

from tests.fuzz.toml import Tables

EXTREMES = [0, -1, 1, 1e-300, -1e-9, 1e9, 1e308, 10**30, math.nan, math.inf, -math.inf, True, "",
            "0", [], {}, [0, 0], [0, 0, 0], [1e308] * 3, "\u202equince", "\x1b[31mquince",
            "#000000", "a" * 200, "../../../../etc/passwd", "/dev/zero", "."]  # fmt: skip
KEYS = ["at_m", "rpm", "edge_mm", "shape", "steps", "base", "mesh", "file", "aim", "x", "", "title",
        "name", "room", "ball", "lens_mm", "\x9b", "kelvin", "sides", "tilt_sd_deg"]  # fmt: skip


def spoilt(r: Random, tables: Tables) -> Tables:
    """The same tables with up to three things in them put wrong."""
    for _ in range(r.randint(1, 3)):
        table: Any = tables
        while True:
            keys = list(table) if isinstance(table, dict) else list(range(len(table)))
            if not keys:
                break
            key = r.choice(keys)
            if isinstance(table[key], dict | list) and table[key] and r.random() < 0.8:
                table = table[key]
                continue
            way = r.random()
            if way < 0.2:
                del table[key]
            elif way < 0.4 and isinstance(table, dict):
                table[r.choice(KEYS)] = copy.deepcopy(r.choice(EXTREMES))
            else:
                table[key] = copy.deepcopy(r.choice(EXTREMES))
            break
    return tables


TINY = [5e-324, 1e-310, 1e-300, -5e-324, 1e-160, 1e-30]


def with_tiny_numbers(r: Random, tables: Tables) -> Tables:
    """The same tables with one or two numbers so small that squares of them are nothing."""
    places = list(_numbers(tables))
    for table, key in r.sample(places, min(len(places), r.choice([1, 1, 2]))):
        table[key] = r.choice(TINY)
    return tables


def _numbers(table: Any) -> Iterator[tuple[Any, Any]]:
    """Every table or list with the key of a broken number in it."""
    for key, value in table.items() if isinstance(table, dict) else enumerate(table):
        if isinstance(value, dict | list):
            yield from _numbers(value)
        elif isinstance(value, float):
            yield table, key


def bytes_gone_wrong(r: Random, data: bytes) -> bytes:
    """A file cut short, with bytes changed, doubled or left out, or glued to itself."""
    spoilt_bytes = bytearray(data)
    for _ in range(r.choice([1, 1, 2, 5, 30])):
        if not spoilt_bytes:
            break
        here, way = r.randrange(len(spoilt_bytes)), r.randrange(6)
        if way == 0:
            del spoilt_bytes[here:]
        elif way == 1:
            spoilt_bytes[here] = r.randrange(256)
        elif way == 2:
            del spoilt_bytes[here : here + r.choice([1, 4, 50])]
        elif way == 3:
            spoilt_bytes[here:here] = spoilt_bytes[here : here + r.choice([1, 4, 50, 1000])]
        elif way == 4:
            wrong = [b"-1", b"nan", b"1e999", b"\x00" * 4, b"\xff" * 4, b"\n", b"9" * 40]
            spoilt_bytes[here:here] = r.choice(wrong)
        else:
            spoilt_bytes[here] ^= 1 << r.randrange(8)
    return bytes(spoilt_bytes)
