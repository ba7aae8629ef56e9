"""The catalogue's page as a browser shows it."""

from __future__ import annotations

import pytest

from glint.build.stock import candidates
from glint.report.shapes_page import Row, shapes_page
from glint.shape.catalogue import catalogue
from glint.shape.tables import TileTable

NAMES = (
    "cube",
    "icosahedron, triangles raised",
    "truncated cube, octagons capped",
    "snub cube, triangles raised",
    "pentagonal prism, pentagons raised",
)
UNFIT = "snub cube, triangles raised"
SAYS = "36 pairs of tiles collide; fits: tiles of at most 24 mm"

SHOWN = """
return [...document.querySelectorAll("#shapes > li")].filter((one) => one.getClientRects().length)
  .map((one) => one.dataset.name);
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    entries = [entry for entry in candidates() if entry.name in NAMES]
    rows = [
        Row(entry, entry.name != UNFIT, SAYS if entry.name == UNFIT else "can be glued")
        for entry in entries
    ]
    unbuilt = [entry for entry in catalogue() if entry.name == "dodecahedron"]
    path = tmp_path_factory.mktemp("shapes") / "shapes.html"
    path.write_text(shapes_page(rows, unbuilt, TileTable(), "<b>tiles</b>"), encoding="utf-8")
    return path


def choose(browser, name, value):
    """Fill in a filter as a user would."""
    browser.run(
        "const one = document.getElementById(arguments[0]);"
        "if (one.type === 'checkbox') one.checked = arguments[1]; else one.value = arguments[1];"
        "one.dispatchEvent(new Event('input', { bubbles: true }));",
        name,
        value,
    )


def test_every_shape_is_there_with_its_picture_and_nothing_comes_from_outside(browser, page):
    browser.open(page)
    assert sorted(browser.run(SHOWN)) == sorted(NAMES)
    pictures = browser.pictures()
    assert len(pictures) == len(NAMES)
    assert all(picture["own"] == 320 and picture["shown"] > 150 for picture in pictures)
    assert browser.outside() == []
    assert browser.complaints() == []
    text = browser.run("return document.body.textContent")
    for said in ("62: 32 triangles, 30 squares", SAYS, "<b>tiles</b>", "dodecahedron"):
        assert said in text
    assert "3 / 4 / 2" in text  # the cube, by a corner, a face and an edge
    assert "5.5 cm" in text  # across it: sqrt(3) times 32 mm


@pytest.mark.parametrize(
    ("filters", "names"),
    [
        ({"most": "20"}, {"cube", "pentagonal prism, pentagons raised"}),
        ({"least": "62", "most": "62"}, {"truncated cube, octagons capped"}),
        ({"kinds": "triangles"}, {"icosahedron, triangles raised"}),
        ({"kinds": "squares"}, {"cube"}),
        ({"fit": True}, set(NAMES) - {UNFIT}),
        ({"name": "CUBE raised"}, {UNFIT}),
        ({"name": "sphere"}, set()),
    ],
)
def test_filters_leave_what_was_asked_for(browser, page, filters, names):
    browser.open(page)
    for name, value in filters.items():
        choose(browser, name, value)
    assert set(browser.run(SHOWN)) == names
    count = browser.run("return document.getElementById('count').textContent")
    assert count == f"{len(names)} of {len(NAMES)} shapes"
    nothing = browser.run("return !document.getElementById('none').hidden")
    assert nothing == (not names)


@pytest.mark.parametrize(
    ("order", "first", "last"),
    [
        ("tiles", "cube", "snub cube, triangles raised"),
        ("-size", "truncated cube, octagons capped", "cube"),
        ("name", "cube", "truncated cube, octagons capped"),
        ("place", "cube", "pentagonal prism, pentagons raised"),
    ],
)
def test_shapes_are_sorted(browser, page, order, first, last):
    browser.open(page)
    choose(browser, "order", order)
    shown = browser.run(SHOWN)
    assert (shown[0], shown[-1]) == (first, last)


def test_a_line_is_copied_by_the_keyboard_alone(browser, page):
    browser.open(page)
    button = '[data-name="pentagonal prism, pentagons raised"] button'
    browser.run(
        "document.addEventListener('copy', () => { window.copied = String(getSelection()); });"
        "navigator.clipboard.writeText = (text) => { window.copied = text; };"
    )
    browser.press(button, "\n")
    steps = '[{ do = "raise", sides = 5 }]'
    wanted = f'shape = {{ base = "prism", sides = 5, steps = {steps} }}'
    assert browser.run("return window.copied") == wanted
    assert browser.run("return document.getElementById('said').textContent") == "copied"


def test_every_field_has_a_label_and_every_button_a_name(browser, page):
    browser.open(page)
    bare = browser.run(
        "return [...document.querySelectorAll('input, select')]"
        ".filter((one) => !one.labels.length || !one.labels[0].textContent.trim()).length"
    )
    assert bare == 0
    names = browser.run(
        "return [...document.querySelectorAll('#shapes button')].map((b) => b.ariaLabel)"
    )
    assert len(set(names)) == len(NAMES)


@pytest.mark.parametrize("width", [390, 1280])
def test_it_fits_the_window_and_is_legible(browser, page, width):
    browser.open(page, width)
    assert browser.width_needed() <= width
    # WCAG 2.2, SC 1.4.3: at least 4.5 : 1.
    assert min(browser.contrasts())[0] >= 4.5
