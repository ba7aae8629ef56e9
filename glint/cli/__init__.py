"""The command line: a thin skin over the Python functions. It parses, calls and prints."""

from __future__ import annotations

import sys

__all__ = ["main", "program"]


def program() -> None:
    """The whole program; see `glint.cli.entry.program`."""
    try:
        from glint.cli import entry
    except KeyboardInterrupt:  # so early that nothing else would answer
        sys.exit("glint: stopped")
    entry.program()


def main() -> None:
    """Run the command line; see `glint.cli.entry.main`."""
    from glint.cli import entry

    entry.main()
