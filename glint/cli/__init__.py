"""The command line: a thin skin over the Python functions. It parses, calls and prints."""

from __future__ import annotations

from glint.cli.entry import main, program

__all__ = ["main", "program"]
