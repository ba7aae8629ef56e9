"""The report as a browser shows it: whole, legible, sortable, and on its own."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from glint.report.page import page
from glint.report.pictures import HEADINGS
from glint.report.table import SHOWN
from tests.report.tables import NASTY

NAMES = (
    "eight",
    "<b>twenty</b>",
    "Quince pie, the large one with very manypointsandnospaces",
    "last of all",
)
TILES = (8, 20, 1000, 9)
"""As text 1000 would come before 20, and 9 last."""

CELLS = """
const column = arguments[0];
return [...document.querySelectorAll("#side tbody tr")].map((row) => row.cells[column].textContent);
"""


@pytest.fixture(scope="module")
def report(answers, file, tmp_path_factory):
    """A report of four candidates, made of the two that could be measured and one that could not;
    the last of them has no dark gap."""
    one, two, left_out = answers
    made = []
    for number, (name, tiles) in enumerate(zip(NAMES, TILES, strict=True)):
        answer = (one, two)[number % 2]
        figures = dict(answer.measures.figures)
        if number == 3:
            figures["gap_deg"] = figures["gap_deg"]._replace(mean=math.nan)
        measures = replace(answer.measures, title=name, tiles=tiles, figures=figures)
        made.append(replace(answer, title=name, measures=measures))
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(page([*made, left_out], file), encoding="utf-8")
    return path


def test_every_picture_is_there_and_nothing_comes_from_outside(browser, report):
    browser.open(report)
    pictures = browser.pictures()
    assert len(pictures) == len(NAMES) * len(HEADINGS) + 3
    for picture in pictures:
        assert picture["own"] > 0 and picture["shown"] > 100, picture["name"]
    assert browser.outside() == []
    assert browser.complaints() == []


def test_names_are_text_whatever_is_in_them(browser, report):
    browser.open(report)
    assert browser.run("return document.querySelector('h1').textContent") == NASTY
    assert browser.run("return document.title").startswith(NASTY)
    assert browser.run("return document.querySelectorAll('b, h1 *').length") == 0
    assert browser.run(CELLS, 1)[1] == "<b>twenty</b>"


@pytest.mark.parametrize(
    ("column", "up"),
    [
        (1, ["<b>twenty</b>", "eight", NAMES[3], NAMES[2]]),
        (2, ["8", "9", "20", "1000"]),
    ],
)
def test_a_heading_sorts_both_ways(browser, report, column, up):
    browser.open(report)
    header = f"#side th:nth-child({column + 1})"
    says = f"return document.querySelector('{header}').getAttribute('aria-sort')"
    assert browser.run(says) is None
    browser.click(header)
    assert browser.run(CELLS, column) == up
    assert browser.run(says) == "ascending"
    browser.press(f"{header} button", "\n")
    assert browser.run(CELLS, column) == up[::-1]
    assert browser.run(says) == "descending"
    browser.click("#side th:first-child")
    assert browser.run(CELLS, 0) == ["1", "2", "3", "4"]
    assert browser.run("return document.querySelectorAll('[aria-sort]').length") == 1


def test_what_has_no_figure_comes_last_both_ways(browser, report):
    browser.open(report)
    header = f"#side th:nth-child({5 + SHOWN.index('gap_deg')})"
    for _ in ("up", "down"):
        browser.click(header)
        numbers = browser.run(CELLS, 0)
        assert (numbers[-1], sorted(numbers)) == ("4", ["1", "2", "3", "4"])


def test_every_column_of_figures_sorts_as_numbers(browser, report):
    """Every column of figures: what is shown goes up with the heading."""
    browser.open(report)
    figures = [key for key in SHOWN if not key.startswith("string")]  # there is no string here
    for column in range(2, 4 + len(figures)):
        browser.click(f"#side th:nth-child({column + 1})")
        found = [float(cell) for cell in browser.run(CELLS, column) if cell != "–"]
        assert found == sorted(found)


@pytest.mark.parametrize("width", [360, 1400])
def test_only_tables_are_wider_than_the_window(browser, report, width):
    browser.open(report, width)
    assert browser.width_needed() <= width
    # A table that needs more than the window can be reached by scrolling its own box.
    boxes = browser.run(
        "return [...document.querySelectorAll('.wide')].map((box) => [box.scrollWidth,"
        " box.clientWidth, getComputedStyle(box).overflowX, box.querySelectorAll('table').length])"
    )
    assert len(boxes) == 1 + len(NAMES)
    for needed, has, overflow, tables in boxes:
        assert tables == 1 and (overflow == "auto" or needed <= has)
    side = boxes[0]
    assert (side[0] > side[1]) == (width == 360)


@pytest.mark.parametrize("dark", [False, True])
def test_every_text_can_be_read(browser, report, dark):
    """4.5 to 1 at least, as WCAG 2.2 (SC 1.4.3) asks for."""
    browser.open(report, dark=dark)
    browser.width_needed()  # opens what is folded
    contrasts = browser.contrasts()
    assert len(contrasts) > 100
    ground = browser.run("return getComputedStyle(document.body).backgroundColor")
    assert (sum(map(int, ground.strip("rgb()").split(","))) < 3 * 128) == dark
    assert [found for found in contrasts if found[0] < 4.5] == []


def test_printed_pages_keep_tables_and_pictures_whole(browser, report):
    browser.open(report)
    pages = browser.pdf_pages()
    # The table's first and last row, and each candidate's heading and its last caption.
    (table,) = [text for text in pages if "Side by side" in text]
    assert NAMES[3] in table.split("Side by side")[1]
    for number, name in enumerate(NAMES, start=1):
        (strip,) = [text for text in pages if f"{number} {name}" in text and "tiles ·" in text]
        assert HEADINGS[-1] in strip.split(f"{number} {name}")[1]
    # No page is next to empty; but the line at the foot may come alone on the last.
    assert all(len(text.split()) > 20 for text in pages[:-1])
