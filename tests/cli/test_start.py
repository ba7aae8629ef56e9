"""The command line starts at once: a command is imported when it is called, and not before."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest

from glint.cli.entry import COMMANDS, glint
from glint.cli.tile_options import SIZES
from glint.schema.describe import bounds_of
from glint.shape.tables import TileTable

LIST = """
import sys
from glint.cli import main
sys.argv = ["glint", *sys.argv[1:]]
try:
    main()
except SystemExit:
    pass
print(*sys.modules, file=sys.stderr)
"""

BARE = "import sys; print(*sys.modules, file=sys.stderr)"

HEAVY = {"numpy", "numba", "scipy", "shapely", "pydantic", "PIL", "av", "trimesh", "rich"}


def modules_after(*arguments, run=LIST):
    done = subprocess.run([sys.executable, "-c", run, *arguments], capture_output=True, text=True)
    return set(done.stderr.split())


def test_help_imports_no_command_and_nothing_heavy():
    loaded = modules_after("--help")
    assert "glint.cli.entry" in loaded
    assert not loaded & HEAVY
    assert not {f"glint.cli.{name}" for name in COMMANDS} & loaded


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_a_command_imports_that_command_only(name):
    loaded = modules_after(name, "--help")
    assert {f"glint.cli.{other}" for other in COMMANDS} & loaded == {f"glint.cli.{name}"}
    assert not loaded & HEAVY


def test_help_imports_no_package_but_click_and_little_of_the_standard_library():
    """What makes it start at once: each further package costs some hundredths of a second."""
    loaded = modules_after("--help") - modules_after(run=BARE)
    packages = {name.partition(".")[0] for name in loaded} - sys.stdlib_module_names
    assert {"glint", "click"} <= packages <= {"glint", "click", "colorama"}
    assert not loaded & {"asyncio", "multiprocessing", "unittest", "http", "email", "tomllib"}


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_an_example_and_a_line_in_the_list(name):
    command = glint.get_command(click.Context(glint), name)
    assert command is not None and command.name == name
    assert f"glint {name} " in (command.help or "")
    assert COMMANDS[name].endswith(".")


def test_without_a_command_there_is_the_help():
    run = [sys.executable, "-m", "glint"]
    alone, asked = (subprocess.run([*run, *a], capture_output=True) for a in ([], ["--help"]))
    assert alone.returncode == 0
    assert alone.stdout == asked.stdout


END = """
import atexit, gc, sys
from glint.cli import entry

def main():
    atexit.register(lambda: print(f"frozen: {gc.get_freeze_count() > len(gc.get_objects())}"))
    print("said, ", end="")
    sys.exit(2)

entry.main = main
entry.program()
"""


def test_nothing_is_looked_through_for_garbage_at_the_end():
    done = subprocess.run([sys.executable, "-c", END], capture_output=True, text=True)
    assert (done.stdout, done.stderr) == ("said, frozen: True\n", "")
    assert done.returncode == 2


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_sizes_in_the_help_are_those_of_the_schema(size):
    field = TileTable.model_fields[size.key]
    bounds = bounds_of(field)
    assert (size.default, size.kind.min, size.kind.max) == (
        field.default,
        bounds.least,
        bounds.most,
    )
    done = subprocess.run(
        [sys.executable, "-m", "glint", "shapes", "--help"], capture_output=True, text=True
    )
    assert f"{size.says}, mm; default: {size.default:g}." in " ".join(done.stdout.split())
