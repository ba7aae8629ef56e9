"""Lamp files: what is read, and how a bad one is explained."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.photometry.readers.lm63 import PhotometryError, read_lm63
from tests.photometry.files import lamp_file

GOOD = lamp_file()
HEAD = "1 1000 1 4 1 1 2 0.1 0.1 0"


def read(text: str | bytes):
    return read_lm63(text if isinstance(text, bytes) else text.encode("latin-1"), "quince.ies")


def test_every_number_lands_in_its_place():
    lamp = read(
        lamp_file(horizontal=(0, 45, 90), candela=lambda v, h: v + h / 1000, factors="1 1 75")
    )
    assert lamp.vertical_angles.tolist() == [0, 30, 60, 90]
    assert lamp.horizontal_angles.tolist() == [0, 45, 90]
    assert lamp.candela.shape == (3, 4)
    assert lamp.candela[1] == pytest.approx([0.045, 30.045, 60.045, 90.045])
    assert (lamp.rated_lumens, lamp.watts) == (1000.0, 75.0)
    assert lamp.tilt_angles.size == 0


def test_factors_multiply_the_candela():
    head = HEAD.replace("1 1000 1 ", "2 1000 3 ")
    lamp = read(lamp_file(head=head, factors="0.5 0.9 75"))
    assert lamp.candela[0] == pytest.approx(1.5 * np.array([100, 70, 40, 10]))
    assert lamp.rated_lumens == 2000.0


@pytest.mark.parametrize(
    ("first", "edition", "factor"),
    [
        ("ABC report", 1986, 0.45),
        ("IESNA91", 1991, 0.45),
        ("IESNA:LM-63-1991", 1991, 0.45),
        ("IESNA:LM-63-1995", 1995, 0.45),
        ("IESNA:LM-63-2002", 2002, 0.5),
        ("IES:LM-63-2019", 2019, 0.5),
        (" iesna:lm-63-2002 ", 2002, 0.5),
    ],
)
def test_only_early_editions_have_a_ballast_lamp_photometric_factor(first, edition, factor):
    lamp = read(lamp_file(first=first, factors="0.5 0.9 75"))
    assert lamp.edition == edition
    assert lamp.candela[0, 0] == pytest.approx(100 * factor)


def test_absolute_photometry_has_no_rated_lumens():
    assert read(lamp_file(head=HEAD.replace("1000", "-1"))).rated_lumens is None


def test_tilt_factors_are_read():
    lamp = read(lamp_file(tilt="TILT=INCLUDE\n1\n3\n0 45 90\n1 0.95 0.9"))
    assert lamp.tilt_angles.tolist() == [0, 45, 90]
    assert lamp.tilt_factors.tolist() == [1, 0.95, 0.9]
    assert lamp.candela[0, 0] == 100


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("\n", "\r"),
        lambda text: "\xef\xbb\xbf" + text,
        lambda text: text + "\x1a",
        lambda text: text + "\n\n  \n",
        lambda text: text.replace("0 30 60 90", "0,30\n60 , 90"),
        lambda text: text.replace("TILT=NONE", "  tilt = none "),
        lambda text: text.replace("100 70", "1.0e2 +70.").replace(" 10\n", " .1E+2\n"),
        lambda text: text.replace("written", "\xfcber"),
    ],
)
def test_other_ways_to_write_the_same_file(change):
    changed = change(GOOD)
    assert changed != GOOD
    assert read(changed).candela.tolist() == [[100, 70, 40, 10]]


def bad(old: str, new: str, text: str = GOOD) -> str:
    assert text.count(old) == 1, (old, text)
    return text.replace(old, new)


TILTED = lamp_file(tilt="TILT=INCLUDE\n1\n3\n0 45 90\n1 0.95 0.9")
BAD = {
    "empty": ("", "line 1: found no line that begins with TILT=; allowed: a lamp file after IES"),
    "another kind of file": (b"\x89PNG\r\n\x1a\n" * 9, "found no line that begins with TILT="),
    "wide characters": (GOOD.encode("utf-16"), "found no line that begins with TILT="),
    "future edition": (
        bad("LM-63-2002", "LM-63-2040"),
        'line 1: found "IESNA:LM-63-2040"; allowed: "IESNA91", "IESNA:LM-63-1991"',
    ),
    "tilt in another file": (
        bad("TILT=NONE", "TILT=tilt.dat"),
        'line 3: found "TILT=tilt.dat"; allowed: "TILT=NONE", "TILT=INCLUDE"',
    ),
    "nothing after the tilt": (
        GOOD[: GOOD.index("1 1000")],
        "found the end of the file; allowed: ",
    ),
    "how the source lies": (
        bad("INCLUDE\n1", "INCLUDE\n4", TILTED),
        "line 4: found 4; allowed: how",
    ),
    "many tilts": (
        bad("\n3\n", "\n999\n", TILTED),
        "found 999; allowed: the number of tilt angles",
    ),
    "tilts out of order": (bad("0 45 90", "0 95 90", TILTED), "line 6: found 90 after 95; allowed"),
    "negative tilt factor": (bad("0.95", "-1", TILTED), "found -1; allowed: a tilt factor, from 0"),
    "half a light source": (
        bad("1 1000 1 ", "0.5 1000 1 "),
        "line 4: found 0.5; allowed: the number of light sources, a whole number from 1 to 1000000",
    ),
    "words": (
        bad("1 1000 1 ", "one 1000 1 "),
        'line 4: found "one"; allowed: the number of light sources',
    ),
    "lumens": (
        bad("1000", "-2"),
        "line 4: found -2; allowed: the rated lumens of each light source",
    ),
    "multiplier": (
        bad("1000 1 ", "1000 0 "),
        "line 4: found 0; allowed: the candela multiplier, abo",
    ),
    "negative multiplier": (
        bad("1000 1 ", "1000 -1 "),
        "found -1; allowed: the candela multiplier",
    ),
    "nan": (bad("1000 1 ", "1000 nan "), 'line 4: found "nan"; allowed: the candela multiplier'),
    "infinity": (bad("1000 1 ", "1000 1e999 "), "line 4: found 1e999; allowed: the candela multip"),
    "underscores": (bad("1000 1 ", "1_000 1 "), 'line 4: found "1_000"; allowed: the rated lumens'),
    "one vertical angle": (
        bad("1 4 1 1 2", "1 1 1 1 2"),
        "line 4: found 1; allowed: the number of vertical angles, a whole number from 2 to 3601",
    ),
    "million vertical angles": (
        bad("1 4 1 1 2", "1 1e6 1 1 2"),
        "found 1e+06; allowed: the number",
    ),
    "no horizontal angle": (
        bad("1 4 1 1 2", "1 4 0 1 2"),
        "found 0; allowed: the number of horizon",
    ),
    "type B": (
        bad("1 4 1 1 2", "1 4 1 2 2"),
        "line 4: found 2, type B photometry; allowed: 1, type C photometry",
    ),
    "type A": (bad("1 4 1 1 2", "1 4 1 3 2"), "line 4: found 3, type A photometry; allowed: 1"),
    "type D": (bad("1 4 1 1 2", "1 4 1 4 2"), "line 4: found 4; allowed: the photometric type"),
    "units": (bad("1 4 1 1 2", "1 4 1 1 3"), "line 4: found 3; allowed: the unit of lengths"),
    "ballast": (bad("1 1 50", "0 1 50"), "line 5: found 0; allowed: the ballast factor, above 0"),
    "watts": (bad("1 1 50", "1 1 -50"), "line 5: found -50; allowed: the input watts, from 0"),
    "axis left out": (
        bad("0 30 60 90", "5 30 60 90"),
        "line 6: found a first vertical angle of 5; allowed: 0, straight ahead",
    ),
    "light upward": (bad("0 30 60 90", "90 120 150 180"), "found a first vertical angle of 90"),
    "angle twice": (bad("0 30 60 90", "0 30 30 90"), "line 6: found 30 after 30; allowed: growing"),
    "beyond the zenith": (
        bad("0 30 60 90", "0 30 60 181"),
        "line 6: found 181 after 60; allowed: growing vertical angles, at most 180",
    ),
    "negative angle": (
        bad("0 30 60 90", "-90 30 60 90"),
        "line 6: found -90; allowed: vertical ang",
    ),
    "single horizontal angle": (
        bad("\n0\n", "\n90\n"),
        "line 7: found horizontal angles from 90 to 90; allowed: 0 alone, 0 to 90, 0 to 180",
    ),
    "odd symmetry": (
        lamp_file(horizontal=(0, 60, 120)),
        "line 7: found horizontal angles from 0 to 120; allowed: 0 alone, 0 to 90",
    ),
    "more than a turn": (
        lamp_file(horizontal=(0, 180, 370)),
        "line 7: found 370 after 180; allowed",
    ),
    "negative candela": (
        bad("100 70", "100 -70"),
        "line 8: found -70; allowed: a candela value of horizontal angle 0, from 0",
    ),
    "candela missing": (
        bad(" 10\n", "\n"),
        "line 9: found the end of the file; allowed: a candela",
    ),
    "candela too many": (
        bad(" 10\n", " 10 5\n"),
        'line 8: found "5"; allowed: nothing after the last candela value',
    ),
}


@pytest.mark.parametrize(("text", "expected"), BAD.values(), ids=BAD.keys())
def test_a_bad_file_is_explained_with_its_line(text, expected):
    with pytest.raises(PhotometryError) as caught:
        read(text)
    assert str(caught.value).startswith("quince.ies: line ")
    assert expected in str(caught.value)
    assert str(caught.value).isprintable()
    assert caught.value.exit_status == 2


words = st.sampled_from(["0", "1", "2", "90", "180", "360", "-1", "1e9", "1e308", "nan", "x"])
words |= st.text(max_size=4)


@settings(max_examples=300, deadline=None)
@given(st.lists(words, max_size=40), st.integers(0, 14), st.integers(0, 4))
def test_any_numbers_are_read_or_explained(extra, keep, drop):
    numbers = GOOD[GOOD.index("1 1000") :].split()
    text = GOOD[: GOOD.index("1 1000")] + " ".join(numbers[:keep] + extra + numbers[keep + drop :])
    try:
        lamp = read(text.encode("latin-1", "replace"))
    except PhotometryError as error:
        assert str(error).isprintable()
    else:
        assert np.isfinite(lamp.candela).all() and (lamp.candela >= 0).all()


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=100))
def test_any_bytes_are_explained(data):
    for content in (data, GOOD.encode()[:60] + data):
        with pytest.raises(PhotometryError):
            read(content)
