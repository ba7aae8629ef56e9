"""Figures on standard output: JSON."""

from __future__ import annotations

import json
import sys
from typing import Any

import click


def print_json(found: Any) -> None:
    """Print figures as one line of JSON."""
    only_ascii = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    click.echo(json.dumps(found, ensure_ascii=only_ascii))
