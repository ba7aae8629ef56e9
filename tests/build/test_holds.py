"""Ways of hanging: each has its drawing and words, on the sheet and beside the right ball."""

from __future__ import annotations

import re
import typing
import xml.etree.ElementTree as ET

import pytest

from glint.build.holds import WAYS, way_svg
from glint.build.pages import files_of
from glint.build.sheet import sheet
from glint.shape.hold import HoldKind
from tests.build.tables import OPEN_4, scene
from tests.markup import Markup

SVG = "{http://www.w3.org/2000/svg}"

BALLS = {
    "vertex": {"shape": {"base": "cube"}, "hang": {"by": "vertex"}},
    "edge": {"shape": {"base": "cube"}, "hang": {"by": "edge"}},
    "face": {"shape": {"base": "cube"}, "hang": {"by": "face"}},
    "opening": {"shape": {"base": "cube", "steps": [OPEN_4]}},
    "pole": {"shape": {"base": "rings", "diameter_m": 0.3}},
}


def test_every_way_of_hanging_is_drawn():
    assert set(WAYS) == set(typing.get_args(HoldKind))


@pytest.mark.parametrize("kind", WAYS)
def test_the_numbers_of_a_drawing_are_those_of_its_words(kind):
    drawing = ET.fromstring(way_svg(kind))
    numbers = [text.text for text in drawing.iter(f"{SVG}text")]
    assert numbers == [str(n) for n in range(1, len(WAYS[kind].words) + 1)]
    # Everything lies within the frame of 200 by 190.
    for element in drawing.iter(f"{SVG}circle"):
        x, y, r = (float(element.attrib[key]) for key in ("cx", "cy", "r"))
        assert r <= x <= 200 - r and r <= y <= 190 - r
    assert {"cord", "safety", "bar"} <= {e.get("class") for e in drawing.iter(f"{SVG}path")}


@pytest.mark.parametrize("kind", WAYS)
def test_every_way_has_a_safety_line_and_no_figure_of_load(kind):
    words = " ".join(WAYS[kind].words)
    assert "safety line" in words and "a point of its own" in words
    assert not re.search(r"\d", words)


@pytest.mark.parametrize("kind", BALLS)
def test_the_sheet_shows_how_this_ball_is_held(kind):
    made = files_of(sheet(scene(BALLS[kind])))
    html, text = made["sheet.html"].decode(), made["sheet.txt"].decode()
    page = Markup(html).text
    assert way_svg(kind) in html
    for words in (WAYS[kind].title, *WAYS[kind].words):
        assert words in page and words in text
    for other in set(WAYS) - {kind}:
        assert WAYS[other].title not in page
    assert ("Have ready what takes hold" in page) == (kind in ("vertex", "edge", "face"))
