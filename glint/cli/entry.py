"""Where a command line comes in: which commands there are, and how each may end.

A command is one file, `glint/cli/NAME.py` with a click command NAME in it, and one line in
COMMANDS. The file is imported only when its command is called.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
from importlib import import_module

import click
from click.shell_completion import CompletionItem, shell_complete

from glint.cli.mistakes import check_words, in_words
from glint.cli.stopping import say_stopped, stoppable
from glint.cli.streams import drop_the_rest, open_closed
from glint.errors import GlintError, nearest_spelling, printable
from glint.files.apart import keep_apart
from glint.version import VERSION

COMMANDS = {
    "new": "Write a first scene, from three answers: room, tiles, lamps.",
    "shapes": "List the catalogue: tiles each shape takes, its diameter and symmetry.",
    "check": "Say what is in a scene, or what is wrong with it.",
    "spots": "List every spot: tiles, place, size, peak lux, lumens.",
    "measure": "Say how many spots, how even, how fast: averages over a turn.",
    "compare": "Hold candidates against each other: table, contact sheet, report.",
    "place": "Search hanging height, lamps and speed for the best pattern.",
    "still": "Draw one picture of a scene.",
    "loop": "Film one period of the pattern, without a visible join.",
    "live": "Open a scene as a page: change anything, and see it at once.",
    "export": "Write the geometry as GLB, STL, OBJ or PLY.",
    "stock": "Say what can be built from so many tiles, and the best sets of shapes.",
    "build": "Write the build sheet: tiles, order of work, weight, hanging, hours, net.",
    "completion": "Print what makes a shell complete commands, options and scene files.",
}

COMPLETE = "_GLINT_COMPLETE"
"""Of the environment: set by a shell that asks how a line may go on."""

LONGEST_LINE = 10_000
"""Characters of a message that are shown."""


class LazyGroup(click.Group):
    """The commands of COMMANDS, each imported when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command, in the order of COMMANDS."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, or None if there is none."""
        if cmd_name not in COMMANDS:
            return None
        return getattr(import_module(f"glint.cli.{cmd_name}"), cmd_name)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Commands that begin so, without importing any."""
        names = [
            CompletionItem(name, help=says)
            for name, says in COMMANDS.items()
            if name.startswith(incomplete)
        ]
        return [*names, *click.Command.shell_complete(self, ctx, incomplete)]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands in the help, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that is called, or an error that offers the nearest one."""
        if args[0] not in COMMANDS:
            near = nearest_spelling(args[0], COMMANDS)
            hint = f'; did you mean "{near}"?' if near else ""
            known = ", ".join(COMMANDS)
            found = printable(args[0], 60)
            raise click.UsageError(f'no command "{found}"; there are: {known}{hint}')
        return super().resolve_command(ctx, args)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(VERSION, prog_name="glint")
def glint() -> None:
    """Foretells the light of a hand-made mirrored polyhedron before a tile is glued.

    `glint COMMAND --help` says more about each command.
    """


def program() -> None:
    """The whole program: `main`, and a quick end.

    Python takes apart all that it has made before the system takes the memory back, and looks
    through it for garbage several times over, a quarter of a short run. Frozen, it is not looked
    through.
    """
    try:
        main()
    finally:
        gc.freeze()


def prepare() -> None:
    """Suit this process to what it will do, before anything large is imported."""
    # The 140,000 things that imports make stay; looking through them for garbage once takes a
    # fortieth of a second.
    gc.set_threshold(300_000, 20, 20)
    keep_apart()
    # Matrices are small here, and threads that wait for more of them spin where kernels would run.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def main() -> None:
    """Run the command line: exit status 0 done, 2 bad input, 1 anything else."""
    open_closed()
    prepare()
    if COMPLETE in os.environ:
        sys.exit(shell_complete(glint, {}, "glint", COMPLETE, os.environ[COMPLETE]))
    try:
        # Not glint.main, which prints an empty line where somebody presses Ctrl-C.
        with stoppable(), glint.make_context("glint", check_words(sys.argv[1:])) as context:
            glint.invoke(context)
    except click.exceptions.Exit as leaving:
        sys.exit(leaving.exit_code)
    except click.ClickException as error:
        _say(in_words(error), 2)
    except GlintError as error:
        _say(str(error), error.exit_status)
    except (KeyboardInterrupt, click.Abort):
        say_stopped()
        sys.exit(1)
    except BrokenPipeError:
        drop_the_rest(sys.stdout)
        sys.exit(1)
    except OSError as error:
        drop_the_rest(sys.stdout)
        where = "standard output" if error.filename is None else printable(str(error.filename))
        closed = error.errno == errno.EBADF
        _say(f"{where}: {'closed' if closed else (error.strerror or str(error)).lower()}", 1)
    except Exception as error:
        if os.environ.get("GLINT_TRACEBACK"):
            raise
        _say(f"internal error: {type(error).__name__}: {error}", 1)


def _say(text: str, status: int) -> None:
    try:
        for line in text.splitlines():
            click.echo(f"glint: {printable(line, LONGEST_LINE)}", err=True)
    except OSError:  # nobody reads it; the exit status says that something is wrong
        drop_the_rest(sys.stderr)
    sys.exit(status)
