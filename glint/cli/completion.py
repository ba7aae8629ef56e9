"""`glint completion`: what makes a shell complete glint's commands, options and scene files."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from glint.cli.entry import COMPLETE, glint

SHELLS = ("bash", "zsh", "fish")


@click.command()
@click.argument("shell", type=click.Choice(SHELLS))
def completion(shell: str) -> None:
    """Print a script that makes SHELL complete commands, options and scene files.

    For bash add the line eval "$(glint completion bash)" to ~/.bashrc, for zsh eval
    "$(glint completion zsh)" to ~/.zshrc; for fish write what is printed to
    ~/.config/fish/completions/glint.fish. It then works in new shells.

    Example: glint completion bash
    """
    made = get_completion_class(shell)
    if made is None:  # of the three none is missing, but click lets programs take them out
        raise click.UsageError(f"no completion for {shell}")
    click.echo(made(glint, {}, "glint", COMPLETE).source())
