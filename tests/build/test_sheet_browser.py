"""The build sheet as a browser shows it: on a wide screen, on a telephone, and on paper."""

from __future__ import annotations

import pytest

from glint.build.cautions import CAUTIONS
from glint.build.pages import files_of
from glint.build.sheet import sheet
from tests.build.tables import OPEN_4, RAISE_3, scene

NASTY = '<b>Quince</b> <script>alert("pie")</script> &amp; more'
LONG = "a-ball-with-a-long-name-that-would-not-break-anywhere"


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """Three balls: one with a net, one that leans, and one on a core."""
    balls = [
        {"name": LONG, "shape": {"base": "icosahedron", "steps": [RAISE_3]}},
        {
            "name": "<i>box</i>",
            "shape": {"base": "cube", "steps": [OPEN_4]},
            "hang": {"by": "vertex", "at_m": [1.0, 0.0]},
        },
        {"shape": {"base": "rings", "diameter_m": 0.4}, "hang": {"at_m": [-1.0, 0.0]}},
    ]
    made = files_of(sheet(scene(*balls, title=NASTY)))
    path = tmp_path_factory.mktemp("sheet") / "sheet.html"
    path.write_bytes(made["sheet.html"])
    return path


def test_every_drawing_is_there_and_nothing_comes_from_outside(browser, page):
    browser.open(page)
    pictures = browser.pictures()
    assert len(pictures) == 3 * 3 + 3 + 2  # three views and a way of hanging each, and two nets
    for picture in pictures:
        assert picture["own"] > 0 and picture["shown"] > 150, picture["name"]
    assert browser.outside() == []
    assert browser.complaints() == []


def test_names_are_text_whatever_is_in_them(browser, page):
    browser.open(page)
    assert browser.run("return document.querySelector('h1').textContent") == NASTY
    assert browser.run("return document.querySelectorAll('script, i, h1 *, h2 *').length") == 0
    headings = browser.run("return [...document.querySelectorAll('h2')].map((h) => h.textContent)")
    assert headings[:4] == ["Shopping list for all 3 balls", LONG, "<i>box</i>", "ball 3"]


@pytest.mark.parametrize("width", [360, 1400])
def test_only_nets_are_wider_than_the_window(browser, page, width):
    browser.open(page, width)
    assert browser.width_needed() <= width
    nets = browser.run(
        "return [...document.querySelectorAll('.wide')].map((box) =>"
        " [box.scrollWidth, box.clientWidth, getComputedStyle(box).overflowX])"
    )
    assert [overflow for *_, overflow in nets] == ["auto", "auto"]
    # On a telephone the large net is moved about in its frame; the box's five panels fit.
    assert [needed > has for needed, has, _ in nets] == [width == 360, False]


NUMBERS = """
const net = document.querySelectorAll('.wide')[arguments[0]];
return [...net.querySelectorAll('text.number')].map((t) => t.getBoundingClientRect().height)
"""


@pytest.mark.parametrize("width", [390, 1280])
def test_numbers_of_a_net_can_be_read_at_once_and_grow(browser, page, width):
    browser.open(page, width)
    heights = [browser.run(NUMBERS, net) for net in (0, 1)]
    assert min(map(min, heights)) >= 16.0  # px, of the whole line of type
    before = min(heights[0])
    # The keyboard changes the size of one net: arrows move within a group of radio buttons.
    browser.press("input[name='zoom-1'][value='1']", "\ue014")
    chosen = "return document.querySelector('input[name=zoom-1]:checked').value"
    assert browser.run(chosen) == "2"
    assert min(browser.run(NUMBERS, 0)) == pytest.approx(2 * before, rel=0.06)
    assert min(browser.run(NUMBERS, 1)) == pytest.approx(min(heights[1]))
    browser.click("label:has([name='zoom-1'][value='4'])")
    assert min(browser.run(NUMBERS, 0)) == pytest.approx(4 * before, rel=0.06)
    assert browser.width_needed() <= width
    browser.click("label:has([name='zoom-1'][value='0'])")
    needed, has = browser.run(
        "const net = document.querySelector('.wide');"
        "return [[net.scrollWidth, net.scrollHeight], [net.clientWidth, net.clientHeight]]"
    )
    assert needed == has  # all of it


def test_a_printed_net_is_whole_whatever_its_size_on_the_screen(browser, page):
    browser.open(page)
    browser.click("label:has([name='zoom-1'][value='4'])")
    assert len(browser.pdf_pages()) == len(_fresh_pages(browser, page))


def _fresh_pages(browser, page):
    browser.open(page)
    return browser.pdf_pages()


@pytest.mark.parametrize("dark", [False, True])
def test_every_text_can_be_read(browser, page, dark):
    """4.5 to 1 at least, as WCAG 2.2 (SC 1.4.3) asks for."""
    browser.open(page, dark=dark)
    contrasts = browser.contrasts()
    assert len(contrasts) > 100
    ground = browser.run("return getComputedStyle(document.documentElement).backgroundColor")
    assert (sum(map(int, ground.strip("rgb()").split(","))) < 3 * 128) == dark
    assert [found for found in contrasts if found[0] < 4.5] == []


def test_the_way_from_hanging_to_the_cautions(browser, page):
    browser.open(page, 360)
    browser.click("a[href='#cautions']")
    top = "return document.querySelector('#cautions').getBoundingClientRect().top"
    assert -1 < browser.run(top) < 900  # pages scroll by whole pixels


def test_printed_pages_keep_chapters_whole(browser, page):
    browser.open(page)
    pages = browser.pdf_pages()
    assert sum("Build sheet" in text for text in pages) == 1
    for first, last in (
        ("What to have", "Spares are in"),
        ("Hanging", "See the cautions."),
        ("Time", "may be hung"),
    ):
        assert sum(text.count(last) for text in pages) == 3  # balls
        for text in pages:
            # As often on each page: no chapter begins on one and ends on the next.
            lines = [line.strip() for line in text.splitlines()]
            assert lines.count(first) == text.count(last), first
    assert sum("Shopping list" in text and "rated for" in text for text in pages) == 1
    (cautions,) = [text for text in pages if "These are reminders" in text]
    for caution in CAUTIONS:
        assert caution.about in cautions.split("These are reminders")[1]
