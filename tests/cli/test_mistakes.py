"""What somebody may type: each mistake is one line that says what, where and what is allowed."""

from __future__ import annotations

import click
import pytest

from glint.cli.entry import COMMANDS, glint
from tests.cli.command import DEMO, names, printed, told

ESCAPE = "\x1b[31m"


@pytest.mark.parametrize("name", COMMANDS)
def test_no_option_takes_what_is_no_number_for_one(name):
    command = glint.get_command(click.Context(glint), name)
    assert command is not None
    for parameter in command.params:
        refuses_nan(parameter)


def refuses_nan(parameter):
    if isinstance(parameter.type, click.types.FloatParamType | click.FloatRange):
        for text in ("nan", "NaN", "-nan"):
            with pytest.raises(click.BadParameter, match=r"is not a number from -?[0-9.]+ to"):
                parameter.type.convert(text, parameter, None)
    elif isinstance(parameter.type, click.types.IntParamType | click.IntRange):
        assert parameter.type.min is not None and parameter.type.max is not None


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["still"], "Missing argument 'SCENE'; see glint still --help"),
        (["still", DEMO, "--view", "flor"], 'is not one of "dome", '),
        (["still", DEMO, "--view", "flor"], 'did you mean "floor"?'),
        (["still", DEMO, "--at", "north"], "is not a number from -1000000 to 1000000"),
        (["still", DEMO, "--at", "nan"], "'nan' is not a number from -1000000 to 1000000"),
        (["loop", DEMO, "--fps", "1.5"], "'1.5' is not a whole number from 1 to 120"),
        (["loop", DEMO, "-o", "-"], "-: found no ending; allowed: "),
        (["shapes", "spare"], "unexpected extra argument (spare); see glint shapes --help"),
        (["build", DEMO, "-o", ""], "found an empty word; allowed: a value"),
        (["build", DEMO, "--paper", "A5"], '\'A5\' is not one of "A4", "letter"'),
        (["check", "."], ".: found a folder; allowed: a regular file"),
        (["check", f"{ESCAPE}.toml"], r"\x1b[31m.toml: found no such file"),
        ([ESCAPE], r'no command "\x1b[31m"'),
        (["still", DEMO, "--view", ESCAPE], r"'\x1b[31m' is not one of"),
        (["still", DEMO, "-o", f"{ESCAPE}/a.png"], r"there is no folder \x1b[31m"),
    ],
)
def test_a_mistake_is_told_in_one_line(arguments, message, tmp_path):
    assert message in told(*arguments, cwd=tmp_path)
    assert names(tmp_path) == []


def test_help_is_a_command_too(tmp_path):
    for words in (["help"], ["help", "still"]):
        asked = printed(*words[1:], "--help", cwd=tmp_path)
        assert printed(*words, cwd=tmp_path) == asked != ""


@pytest.mark.parametrize(
    "content, message",
    [
        ('title = "Kürbis"'.encode("latin-1"), "line 1: found the byte 0xfc, which is not UTF-8"),
        (DEMO.read_text().encode("utf-16"), "line 1: found the byte 0xff, which is not UTF-8"),
        (b"\x00\xfe" * 5_000_000, "found a file that is too large; allowed: at most 1024 KiB"),
        (b"x" * 1_000_000, "line 1: found "),
    ],
    ids=["Latin-1", "UTF-16", "ten megabytes", "one long line"],
)
def test_a_file_that_is_no_scene(content, message, tmp_path):
    (tmp_path / "quince.toml").write_bytes(content)
    assert message in told("check", "quince.toml", cwd=tmp_path)


def test_line_ends_and_a_byte_order_mark_do_not_matter(tmp_path):
    plain = printed("check", DEMO, "--json", cwd=tmp_path)
    text = DEMO.read_text().replace("\n", "\r\n")
    (tmp_path / "quince.toml").write_text(text, encoding="utf-8-sig", newline="")
    assert printed("check", "quince.toml", "--json", cwd=tmp_path) == plain != ""


def test_what_is_written_is_told_without_control_characters(tmp_path):
    assert printed("export", DEMO, "-o", f"{ESCAPE}.stl", cwd=tmp_path) == "wrote \\x1b[31m.stl\n"


def test_nothing_that_a_command_reads_is_written_over(tmp_path):
    (tmp_path / "quince.png").write_bytes(DEMO.read_bytes())
    line = told("still", "quince.png", "--size", 64, "-o", "quince.png", "--force", cwd=tmp_path)
    assert line == "glint: quince.png is read for this scene, and would be lost; give another name"
    assert (tmp_path / "quince.png").read_bytes() == DEMO.read_bytes()
    printed("export", DEMO, "--part", "panels", "-o", "room.stl", cwd=tmp_path)
    (tmp_path / "s.toml").write_text(
        '[room]\nradius_m = 4\n[[ball]]\nshape = { mesh = "box.obj" }\n'
    )
    corners = [f"v {x} {y} {z}" for x in (0, 99) for y in (0, 99) for z in (0, 99)]
    faces = ["1 2 4 3", "5 7 8 6", "1 5 6 2", "3 4 8 7", "1 3 7 5", "2 6 8 4"]
    (tmp_path / "box.obj").write_text("\n".join([*corners, *(f"f {f}" for f in faces)]))
    before = (tmp_path / "box.obj").read_bytes()
    assert "box.obj is read" in told("export", "s.toml", "-o", "box.obj", "--force", cwd=tmp_path)
    assert (tmp_path / "box.obj").read_bytes() == before
