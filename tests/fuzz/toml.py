"""Tables as the text of a scene file."""

from __future__ import annotations

import json
from typing import Any

Tables = dict[str, Any]


def as_toml(tables: Tables) -> str:
    """Tables as a file; top-level tables under headings of their own."""
    plain, headed = [], []
    for key, value in tables.items():
        if isinstance(value, dict):
            headed.append((f"[{_key(key)}]", value))
        elif isinstance(value, list) and value and all(isinstance(row, dict) for row in value):
            headed += [(f"[[{_key(key)}]]", row) for row in value]
        else:
            plain.append(f"{_key(key)} = {_value(value)}")
    for heading, table in headed:
        plain += ["", heading, *(f"{_key(k)} = {_value(v)}" for k, v in table.items())]
    return "\n".join(plain) + "\n"


def _key(key: str) -> str:
    return json.dumps(key, ensure_ascii=False)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return repr(value)
