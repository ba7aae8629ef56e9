"""The browser that other tests look through sees what they rely on it to see."""

from __future__ import annotations

NOWHERE = "http://127.0.0.1:9/pip.png"  # the discard port: nobody answers

PAGE = f"""<!doctype html><meta name="viewport" content="width=device-width"><title>x</title>
<body style="background: #fff"><p style="color: #ccc">pale</p>
<img src="{NOWHERE}" alt="lost"><img src="data:image/gif;base64,
R0lGODlhAQABAIAAAP///wAAACwAAAAAAQABAAACAkQBADs=" alt="there">
<details><div style="width: 900px">wide</div></details><script>lost()</script>"""


def test_what_is_wrong_with_a_page_is_noticed(browser, tmp_path):
    page = tmp_path / "page.html"
    page.write_text(PAGE)
    browser.open(page, 360)
    assert browser.outside() == [NOWHERE]
    assert any("lost is not defined" in line for line in browser.complaints())
    assert [(one["name"], one["own"]) for one in browser.pictures()] == [("lost", 0), ("there", 1)]
    assert browser.width_needed() > 900
    # #ccc has the relative luminance 0.604 (WCAG 2.2): (1 + 0.05) / (0.604 + 0.05).
    luminance = ((204 / 255 + 0.055) / 1.055) ** 2.4
    contrast = {text: ratio for ratio, text, _ in browser.contrasts()}
    assert abs(contrast["pale"] - 1.05 / (luminance + 0.05)) < 1e-6


def test_a_page_is_forgotten_with_the_next(browser, tmp_path):
    (tmp_path / "one.html").write_text(PAGE)
    (tmp_path / "two.html").write_text("<!doctype html><title>y</title>")
    browser.open(tmp_path / "one.html")
    browser.open(tmp_path / "two.html")
    assert browser.asked_for() == [(tmp_path / "two.html").as_uri()]
    assert browser.complaints() == []
