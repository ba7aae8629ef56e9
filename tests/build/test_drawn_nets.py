"""The net as SVG and PDF: true scale, read back from the files."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections import Counter
from io import BytesIO

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from glint.build.marks import TOP, notes_of
from glint.build.net import unfold
from glint.build.parts import parts_of
from glint.build.pdf import net_pages
from glint.build.svg import GAP, net_svg
from glint.schema.tables import HangTable, ShapeTable, TileTable
from tests.build.tables import OPEN_4, RAISE_3, body

SVG = "{http://www.w3.org/2000/svg}"
POINTS_A_MM = 72 / 25.4


def segments(page, reader):
    """Lengths of all straight strokes on a page, mm."""
    lengths, here = [], None
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator == b"m":
            here = np.array([float(value) for value in operands])
        elif operator == b"l" and here is not None:
            there = np.array([float(value) for value in operands])
            lengths.append(float(np.hypot(*(there - here))) / POINTS_A_MM)
            here = there
    return np.array(lengths)


@pytest.mark.parametrize(
    ("paper", "width", "height"), [("A4", 210.0, 297.0), ("letter", 8.5 * 25.4, 11 * 25.4)]
)
def test_pages_are_at_true_scale(paper, width, height):
    # A4 by ISO 216; letter is 8.5 by 11 inches.
    ball = body("cube", panel_edge_mm=41.0, edge_mm=30.0)
    made = net_pages(ball, notes_of(ball), paper, "Quince Night: the box")
    reader = PdfReader(BytesIO(made.data))
    assert len(reader.pages) == made.pages == 1
    box = reader.pages[0].mediabox
    assert (float(box.width) / POINTS_A_MM, float(box.height) / POINTS_A_MM) == pytest.approx(
        (width, height), abs=0.01
    )
    lengths = segments(reader.pages[0], reader)
    assert (np.abs(lengths - 100.0) < 0.01).sum() == 1  # the rule
    # A cube's net has 5 folds and 14 cut sides; each panel is also filled, and has a tile.
    assert (np.abs(lengths - 41.0) < 0.01).sum() >= 5 + 14
    assert (np.abs(lengths - 30.0) < 0.01).sum() >= 6 * 3
    text = reader.pages[0].extract_text()
    assert "Quince Night: the box" in text and "100 mm" in text


def test_a_net_too_large_for_one_page_takes_more():
    ball = body("icosahedron", (RAISE_3,), panel_edge_mm=60.0, edge_mm=50.0)
    made = net_pages(ball, notes_of(ball), "A4", "spiked")
    reader = PdfReader(BytesIO(made.data))
    assert made.pages == len(reader.pages) > 2
    assert "page 2 of" in reader.pages[1].extract_text()


def test_a_panel_larger_than_the_page_is_told():
    ball = body("cube", panel_edge_mm=260.0, edge_mm=200.0)
    made = net_pages(ball, notes_of(ball), "A4", "large")
    assert made.data == b"" and made.why == "a panel is larger than the A4 page"


def test_the_same_body_gives_the_same_bytes():
    ball = body("cube")
    assert net_pages(ball, notes_of(ball), "A4", "$x$ & y") == net_pages(
        ball, notes_of(ball), "A4", "$x$ & y"
    )


def test_the_drawing_has_every_number_and_true_lengths():
    ball = body("octahedron")
    root = ET.fromstring(net_svg(unfold(ball.frame), ball, notes_of(ball), "<b>&"))
    assert root.find(f"{SVG}title").text == "<b>&"
    assert root.attrib["width"].endswith("mm")
    assert root.attrib["viewBox"].split()[2] == root.attrib["width"].removesuffix("mm")
    numbers = {text.text for text in root.iter(f"{SVG}text") if text.get("class") == "number"}
    assert numbers == {str(n) for n in range(1, 9)}
    edge = TileTable().panel_edge_mm
    lines = list(root.iter(f"{SVG}polyline"))
    for line in lines:
        x1, y1, x2, y2 = map(float, line.attrib["points"].replace(",", " ").split())
        assert math.hypot(x2 - x1, y2 - y1) == pytest.approx(edge, abs=0.003)
    kinds = [line.get("class") for line in lines]
    # Seven folds, all ridges, hold eight panels; the other five of twelve edges are cut.
    assert (kinds.count("ridge"), kinds.count("cut"), kinds.count("valley")) == (7, 10, 0)


def test_valleys_are_dashed():
    ball = body("icosahedron", (RAISE_3,))
    drawing = net_svg(unfold(ball.frame), ball, notes_of(ball), "spiked")
    assert 'class="valley"' in drawing
    assert re.search(r"\.valley\{[^}]*stroke-dasharray:\d", drawing)
    assert not re.search(r"\.ridge\{[^}]*dasharray", drawing)


def texts(drawing, kind):
    return [t.text for t in ET.fromstring(drawing).iter(f"{SVG}text") if t.get("class") == kind]


def tags_of(base, steps, hang):
    return parts_of(ShapeTable.model_validate({"base": base, "steps": steps}), hang).tags


@pytest.mark.parametrize("by", ["vertex", "edge", "face"])
def test_numbers_parts_and_the_top_stand_on_both_drawings(by):
    ball = body("octahedron", (RAISE_3,), by)
    tags = tags_of("octahedron", [RAISE_3], HangTable(height_m=2.0, by=by))
    notes = notes_of(ball, tags)
    drawing = net_svg(unfold(ball.frame), ball, notes, "net")
    printed = PdfReader(BytesIO(net_pages(ball, notes, "A4", "net").data))
    found: list[str] = []
    for page in printed.pages:
        page.extract_text(visitor_text=lambda text, *_: found.append(text.strip()))
    on_paper = Counter(found)
    on_screen = texts(drawing, "tag")
    assert Counter(on_screen) == Counter(tags) + Counter({TOP: len(notes.tops)})
    assert set(tags) == {f"A{n}" for n in range(1, 9)}
    for word, count in Counter(on_screen).items():
        assert on_paper[word] == count
    assert {str(n) for n in range(1, 25)} <= set(on_paper)


def test_the_dots_of_the_top_lie_where_the_body_hangs():
    ball = body("cube", by="vertex")
    pieces, notes = unfold(ball.frame), notes_of(ball)
    root = ET.fromstring(net_svg(pieces, ball, notes, "box"))
    dots = [e.attrib["points"] for e in root.iter(f"{SVG}polygon") if e.get("class") == "dot"]
    assert len(dots) == len(notes.tops) == 3
    height = float(root.attrib["height"].removesuffix("mm"))
    corners = []
    for laid in pieces[0].panels:
        if laid.panel in dict(notes.tops):
            top = ball.frame.vertices[list(ball.frame.faces[laid.panel])][:, 2].argmax()
            corners.append(laid.corners[top] * 1e3 + GAP)
    for dot, corner in zip(dots, corners, strict=True):
        x, y = np.array([p.split(",") for p in dot.split()], float)[:-1].mean(axis=0)
        assert (x, height - y) == pytest.approx(tuple(corner), abs=0.01)


def test_an_opening_is_marked_along_its_rim():
    box = body("cube", (OPEN_4,), "opening")
    drawing = net_svg(unfold(box.frame), box, notes_of(box), "box")
    assert texts(drawing, "tag") == [TOP] * 4
    assert drawing.count('class="dot"') == 4
