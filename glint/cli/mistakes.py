"""What is wrong with a command line: click's own words, and what they leave out.

What was found, what is allowed, the nearest right spelling, and where to read more.
"""

from __future__ import annotations

import re
from typing import Any

import click

from glint.errors import UsageError, listed, nearest_spelling
from glint.errors import in_words as quoted

_FOUND = re.compile(r"^'(.*)' is not one of ", re.DOTALL)
_NO_NUMBER = re.compile(r" is not a valid (?:float|integer)(?: range)?")


class Number(click.FloatRange):
    """A number in a range; unlike click's own, never NaN."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number of what was written; fails with what is allowed."""
        number = super().convert(value, param, ctx)
        if number != number:
            self.fail(f"{value!r} is not {_allowed(self)}", param, ctx)
        return number


def in_words(error: click.ClickException) -> str:
    """One line about a mistake on the command line."""
    text = error.format_message().rstrip(".")
    context = error.ctx if isinstance(error, click.UsageError) else None
    if isinstance(error, click.MissingParameter) or context is None:
        return _with_help(text, context)
    if isinstance(error, click.BadParameter) and error.param is not None:
        kind = error.param.type
        if isinstance(kind, click.Choice):
            found = _FOUND.match(error.message)
            near = found and nearest_spelling(found[1], map(str, kind.choices))
            shown = text.rpartition(" is not one of ")[0]
            hint = f'; did you mean "{near}"?' if near else ""
            return f"{shown} is not one of {listed(map(str, kind.choices))}{hint}"
        if isinstance(kind, click.IntRange | click.FloatRange):
            return _NO_NUMBER.sub(f" is not {_allowed(kind)}", text)
        return text
    return text if "id you mean" in text else _with_help(text, context)


def check_words(words: list[str]) -> list[str]:
    """The words of a command line, `help` put into options. Raises UsageError."""
    if "" in words:
        raise UsageError("found an empty word; allowed: a value, or leave the option off")
    if words and words[0] == "help":
        return [*words[1:2], "--help"]
    return words or ["--help"]


def _with_help(text: str, context: click.Context | None) -> str:
    return text if context is None else f"{text}; see {context.command_path} --help"


def _allowed(kind: click.IntRange | click.FloatRange) -> str:
    whole = "a whole number" if isinstance(kind, click.IntRange) else "a number"
    return f"{whole} from {quoted(kind.min)} to {quoted(kind.max)}"
