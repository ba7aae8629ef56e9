"""`shared/docs/commands.md`: every command and option, as its help says."""

from __future__ import annotations

import re
from importlib import import_module

import click

from glint.cli.entry import COMMANDS

HEAD = """# Commands

Made from the commands' own help by `python -m tests.docs`; do not edit it by hand.

Every command takes `--help`. Where it prints figures, `--json` prints them for programs, and \
elsewhere than on a terminal tables are tab-separated text. An existing file is only replaced \
with `--force`, what a command reads never, and a file appears whole or not at all. Exit status: 0 \
done, 2 something to put right in the scene or on the command line, 1 anything else.
"""


def page() -> str:
    """The whole page, Markdown."""
    return "\n".join([HEAD, *(_command(name) for name in COMMANDS)])


def _command(name: str) -> str:
    command = getattr(import_module(f"glint.cli.{name}"), name)
    context = click.Context(command, info_name=f"glint {name}")
    usage = " ".join(command.collect_usage_pieces(context))
    about = "\n\n".join(_paragraph(part) for part in (command.help or "").split("\n\n"))
    options = [one for one in command.get_params(context) if isinstance(one, click.Option)]
    records = [one.get_help_record(context) for one in options if "--help" not in one.opts]
    rows = [f"| `{_cell(names)}` | {_cell(says)} |" for names, says in filter(None, records)]
    table = ["| option | does |", "|---|---|", *rows] if rows else []
    return "\n".join([f"## glint {name}", "", f"`glint {name} {usage}`", "", about, "", *table, ""])


def _paragraph(text: str) -> str:
    """One paragraph of a help text on one line; an example as code."""
    line = " ".join(text.split())
    if line.startswith("Example: "):
        return f"```sh\n{line.removeprefix('Example: ')}\n```"
    return line


_RANGE = re.compile(r"\[(?:(.*); )?([\d.e+-]+)<=x<=([\d.e+-]+)\]")


def _cell(text: str) -> str:
    """One cell of a table, a range in words."""

    def in_words(found: re.Match[str]) -> str:
        first, least, most = found.groups()
        span = f"{float(least):g} to {float(most):g}"
        return f"[{first}; {span}]" if first else f"[{span}]"

    return _RANGE.sub(in_words, " ".join(text.split())).replace("|", "\\|")
