"""Names of files are safe whatever a ball is called."""

from __future__ import annotations

import re

import pytest

from glint.build.names import LONGEST, stems


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("spiked twenty", "spiked-twenty"),
        ("Überraschung / Nr. 1", "uberraschung-nr-1"),
        ("../../etc/passwd", "etc-passwd"),
        ("con", "con"),  # with "-net.svg" behind it, a file like others on Windows too
        ("a\\b:c*d?e", "a-b-c-d-e"),
        ("шар", "ball-1"),
        ("...", "ball-1"),
        ("-x-", "x"),
    ],
)
def test_a_name_as_a_stem(name, stem):
    assert stems([name]) == (stem,)


def test_no_two_are_alike():
    assert stems(["Quince", "quince", "QUINCE!", "quince-2"]) == (
        "quince",
        "quince-2",
        "quince-3",
        "quince-2-2",
    )
    assert stems(["шар", "ball 1", "яр"]) == ("ball-1", "ball-1-2", "ball-3")


def test_long_names_are_cut():
    long = "a" * (LONGEST - 1) + " " + "b" * 20
    assert stems([long, long]) == ("a" * (LONGEST - 1), "a" * (LONGEST - 1) + "-2")


def test_whatever_is_in_a_name_only_safe_letters_are_left():
    for code in range(0x3000):
        (stem,) = stems([f"x{chr(code)}y"])
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", stem), hex(code)
