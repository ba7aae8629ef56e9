"""The page in a browser: what is seen, changed, kept, saved and taken away."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

import glint
from tests.browser import Browser
from tests.live.client import Page, Server, serving
from tests.live.evening import Evening

HERE = Path(__file__).parent

SCENE = """# A comment that stays.
title = "Plum Night"
room = { kind = "dome", radius_m = 3.0 }
tile = { edge_mm = 60.0, panel_edge_mm = 70.0 }

[[ball]]
name = "plum"
shape = { base = "cuboctahedron", steps = [{ do = "raise", sides = 3 }] }
hang = { height_m = 1.6 }

[[lamp]]
name = "by the door"
at_m = [2.0, 0.0, 1.2]
"""

ESCAPE, ENTER, SHIFT, CONTROL = "\ue00c", "\ue007", "\ue008", "\ue009"
LEFT, UP, RIGHT, DOWN = "\ue012", "\ue013", "\ue014", "\ue015"


class House:
    """One server for many evenings, each of which begins with the scene above."""

    def __init__(self, browser: Browser, server: Server, folder: Path) -> None:
        self.browser, self.server, self.folder = browser, server, folder

    def evening(self, **how: Any) -> Evening:
        """A page over the scene as it was, in a folder with nothing else."""
        for path in self.folder.glob("plum*"):
            path.unlink()
        (self.folder / "plum.toml").write_text(SCENE)
        page = Page.welcome(self.server)
        page.send("open", path="plum.toml")
        page.wait("scene")
        page.socket.close()
        return Evening(self.browser, self.server, **how)

    def saved(self) -> dict[str, Any]:
        """The tables of the scene file as it is now."""
        return tomllib.loads((self.folder / "plum.toml").read_text())


@pytest.fixture(scope="module")
def house(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A server of this file's own."""
    folder = tmp_path_factory.mktemp("house")
    (folder / "plum.toml").write_text(SCENE)
    with serving("plum.toml", cwd=folder, state=folder / ".state") as server:
        yield House(browser, server, folder)


def test_the_first_picture_is_exact_and_nothing_comes_from_outside(browser, house):
    page = house.evening()
    page.exact()
    ink = browser.run(
        "const canvas = document.querySelector('canvas.top');"
        "const pixels = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height)"
        ".data; return [canvas.width, pixels.reduce("
        "(most, v, i) => i % 4 < 3 && v > most ? v : most)]"
    )
    assert ink[0] >= 600 and ink[1] > 150
    hosts = {urlsplit(url).netloc for url in browser.asked_for() if url.startswith("http")}
    assert hosts == {page.server.host}
    assert browser.complaints() == []
    assert "#" not in browser.run("return location.href")


@pytest.mark.parametrize("view", ["dome", "floor", "ball"])
def test_every_view_comes_to_rest_exactly(house, view):
    page = house.evening()
    page.exact()
    page.choose("view", view)
    page.until(lambda: not page.count(".badge.exact"))
    page.exact()


def test_it_plays_pauses_and_runs_slowly(browser, house):
    page = house.evening()
    clock = "return document.querySelector('.clock').textContent"
    assert browser.run(clock) == "0:00.0"
    page.press("Play")
    page.until(lambda: browser.run(clock) > "0:00.5")
    page.press("Pause")
    page.exact()
    browser.click("#slow")
    assert page.count("#slow:checked")


def test_with_less_motion_wished_for_it_starts_paused(house):
    page = house.evening(still=True)
    assert page.count("[aria-label=Play]") == 1


def test_a_shape_comes_from_the_drawer_and_steps_are_added_and_taken_away(browser, house):
    page = house.evening()
    page.press("Open the drawer of shapes")
    page.until(lambda: page.count(".shapes canvas") > 100)
    browser.press("#find-shape", "icosahedron, triangles raised")
    page.until(lambda: page.count(".shapes li") < 20)
    browser.click(".shapes button")
    page.shows("ball[0].shape.base", "icosahedron")
    page.until(lambda: page.count(".step") == 1)
    page.press("Add step")
    # Spikes on spikes cut through each other, which is said at the steps.
    page.until(lambda: page.count(".problem") and "cut through" in page.text())
    page.press("Raise, step 1: take away")
    page.until(lambda: page.count(".step") == 0)
    page.press("Add step")
    page.until(lambda: page.count(".step") == 1 and not page.count(".problem"))
    page.press("Save")
    page.until(lambda: house.saved()["ball"][0]["shape"]["base"] == "icosahedron")


def test_a_shape_with_faces_left_is_finished_by_a_button(browser, house):
    page = house.evening()
    browser.run(
        "const base = document.querySelector('#base-of-ball');"
        "base.value = 'truncated icosahedron';"
        "base.dispatchEvent(new Event('change', { bubbles: true }))"
    )
    page.until(lambda: "no tile fits" in page.text())
    page.press("raise the pentagons, cap the hexagons")
    page.shows("ball[0].shape.base", "truncated icosahedron")
    page.until(lambda: page.count(".step") == 2 and not page.count(".problem"))


def test_the_drawer_shows_what_a_box_of_tiles_makes(browser, house):
    page = house.evening()
    page.press("Open the drawer of shapes")
    page.until(lambda: page.count(".shapes canvas") > 100)
    browser.run("[...document.querySelectorAll('.drawer input[role=switch]')][0].click()")
    page.until(lambda: page.count(".drawer #box-3"))
    browser.press(".drawer #box-3", "20")
    browser.press(".drawer #box-4", "0")
    page.until(lambda: page.count(".shapes li") < 40)
    counts = browser.run(
        "return [...document.querySelectorAll('.shapes button > .unit')]"
        ".map((one) => one.textContent)"
    )
    assert counts and all("□" not in one and int(one.split()[0]) <= 20 for one in counts)


def test_things_are_dragged_in_plan_and_elevation(browser, house):
    page = house.evening()
    page.tab("place")
    browser.drag('.drawings figure:first-child [data-thing="ball 0"]', 40, 0)
    page.until(lambda: float(page.value("ball[0].hang.at_m[0]")) > 0.3)
    assert abs(float(page.value("ball[0].hang.at_m[1]"))) < 0.02
    browser.drag('.drawings figure:last-child [data-thing="ball 0"]', 0, 30)
    page.until(lambda: float(page.value("ball[0].hang.height_m")) < 1.45)
    browser.drag('.drawings figure:first-child [data-thing="lamp 0"]', -30, 30)
    page.until(lambda: page.count('[data-path="lamp[0].at_m[0]"]'))
    page.until(lambda: float(page.value("lamp[0].at_m[0]")) < 1.9)
    # Three drags are three steps back.
    for _ in range(3):
        page.press("Undo")
    page.until(lambda: page.count("[aria-label=Undo]:disabled"))
    page.shows("lamp[0].at_m[0]", "2")


def test_lamps_strings_and_rooms_are_changed(house):
    page = house.evening()
    page.tab("place")
    page.choose("thing", "lamp 0")
    page.until(lambda: page.count('[data-path="lamp[0].beam_deg"]'))
    page.put("lamp[0].beam_deg", "12")
    page.choose("tint lamp[0]", "coloured")
    page.until(lambda: page.count('[data-path="lamp[0].colour"]'))
    page.press("+ Lamp")
    page.until(lambda: page.count('input[value="lamp 1"]'))
    page.press("+ String light")
    page.press("leave seams of 4 mm, and put it in")
    page.until(lambda: page.count('input[value="string 0"]'))
    page.tab("room")
    for kind in ("bell", "yurt", "hall"):
        page.choose("room", kind)
        page.until(lambda kind=kind: page.count(f'input[name=room][value="{kind}"]:checked'))
        assert not page.count(".problem")
    page.put("room.height_m", "3.4")
    page.press("Save")
    page.until(lambda: house.saved()["room"].get("height_m") == 3.4)
    found = house.saved()
    assert found["lamp"][0]["beam_deg"] == 12 and "kelvin" not in found["lamp"][0]
    assert found["lamp"][0]["colour"].startswith("#") and len(found["lamp"]) == 2
    assert len(found["string"]) == 1 and found["tile"]["seam_mm"] == 4
    assert (house.folder / "plum.toml").read_text().startswith("# A comment that stays.")


def test_a_problem_stands_at_its_field_with_its_remedy(house):
    page = house.evening()
    page.tab("room")
    page.put("room.reflectance", "1.5")
    page.until(lambda: page.count(".field.wrong .problem"))
    assert page.value("room.reflectance") == "1.5"
    page.press("use 0.98")
    page.shows("room.reflectance", "0.98")
    page.until(lambda: not page.count(".problem"))


def test_feet_and_inches_are_for_display_only(browser, house):
    page = house.evening()
    page.tab("room")
    browser.run("document.querySelectorAll('input[name=measures]')[1].click()")
    page.shows("room.radius_m", "9.843")
    page.put("room.radius_m", "10")
    page.press("Save")
    page.until(lambda: house.saved()["room"]["radius_m"] == 3.048)
    browser.run("document.querySelectorAll('input[name=measures]')[0].click()")
    page.shows("room.radius_m", "3.048")


def test_undo_redo_and_a_reload_keep_the_evening(browser, house):
    page = house.evening()
    page.tab("room")
    page.put("room.radius_m", "3.5")
    page.until(lambda: not page.count("[aria-label=Undo]:disabled"))
    browser.reload()
    page.until(lambda: page.count("#tab-room") and page.state == "ready")
    page.tab("room")
    page.shows("room.radius_m", "3.5")
    browser.run("document.activeElement.blur()")
    browser.keys(CONTROL, "z")
    page.shows("room.radius_m", "3")
    browser.keys(CONTROL, SHIFT, "z")
    page.shows("room.radius_m", "3.5")


def test_candidates_are_kept_compared_and_taken_back(browser, house):
    page = house.evening()
    page.until(lambda: "over a turn" in browser.run("return document.body.textContent"))
    page.tab("compare")
    page.press("Keep")
    page.until(lambda: page.count(".candidate img") == 1)
    page.tab("shape")
    page.press("Raise, step 1: take away")
    page.until(lambda: page.count(".step") == 0)
    page.tab("compare")
    page.press("Keep")
    page.until(lambda: page.count(".candidate img") == 2)
    assert page.count(".candidate:nth-child(2) .best") >= 2  # fewer tiles, less weight
    browser.run("document.querySelector('.candidate .row button').click()")
    page.tab("shape")
    page.until(lambda: page.count(".step") == 1)
    page.tab("compare")
    browser.run("document.querySelector('.candidate .row .bad').click()")
    page.until(lambda: page.count(".candidate") == 1)


def test_files_are_made_replaced_only_when_told_and_cancelled(house):
    page = house.evening()
    page.tab("take")
    body, loop = 'form[aria-label="The body"]', 'form[aria-label="A loop"]'
    page.press("Make it", body)
    page.until(lambda: page.count(f"{body} .job.done"))
    assert (house.folder / "plum.glb").read_bytes()[:4] == b"glTF"
    page.press("Make it", body)
    page.until(lambda: page.count(f"{body} .problem"))
    page.press("Replace it", body)
    page.until(lambda: page.count(f"{body} .job.done") and not page.count(f"{body} .problem"))
    page.press("Make it", loop)
    page.press("Cancel", loop)
    page.until(lambda: page.count(f"{loop} .job.cancelled"))
    assert sorted(path.name for path in house.folder.glob("plum*")) == ["plum.glb", "plum.toml"]


def test_unsaved_edits_are_offered_back(browser, tmp_path):
    (tmp_path / "plum.toml").write_text(SCENE)
    with serving("plum.toml", cwd=tmp_path, state=tmp_path / ".state") as server:
        page = Evening(browser, server)
        page.tab("room")
        page.put("room.radius_m", "3.3")
        page.until(lambda: not page.count("[aria-label=Undo]:disabled"))
        page.server.process.kill()
        page.until(lambda: page.state == "problem")
    with serving("plum.toml", cwd=tmp_path, state=tmp_path / ".state") as server:
        again = Evening(browser, server)
        again.press("Take back")
        again.tab("room")
        again.shows("room.radius_m", "3.3")


def test_the_whole_evening_by_keyboard_alone(browser, house):
    page = house.evening()
    page.tab_to(".holder")
    browser.keys("w")
    page.until(lambda: page.count(".moved"))
    page.tab_to("input[name=view]")
    browser.keys(RIGHT)
    page.until(lambda: page.count("input[name=view][value=dome]:checked"))
    page.tab_to("button.play")
    browser.keys(" ")
    page.until(lambda: page.count("[aria-label=Pause]"))
    browser.keys(" ")
    page.until(lambda: page.count("[aria-label=Play]"))
    page.tab_to("[role=tab]")
    browser.keys(RIGHT)
    page.tab_to('[data-thing="ball 0"]')
    browser.keys(RIGHT)
    browser.keys(SHIFT, UP)
    page.until(lambda: page.value("ball[0].hang.at_m[0]") == "0.05")
    page.until(lambda: page.value("ball[0].hang.at_m[1]") == "0.5")
    browser.run("document.querySelector('.title').focus()")
    page.tab_to("[role=tab]")
    browser.keys(LEFT)
    page.tab_to("button.wide")
    browser.keys(ENTER)
    page.until(lambda: page.count(".shapes canvas") > 100)
    page.tab_to(".shapes li:nth-child(2) button")
    browser.keys(ENTER)
    page.shows("ball[0].shape.base", "tetrahedron")
    browser.keys(ESCAPE)
    page.until(lambda: not page.count(".drawer"))
    browser.run("document.querySelector('.title').focus()")
    page.tab_to("button.save")
    browser.keys(ENTER)
    page.until(lambda: house.saved()["ball"][0]["shape"]["base"] == "tetrahedron")
    assert house.saved()["ball"][0]["hang"]["at_m"] == [0.05, 0.5]


@pytest.mark.parametrize("width", [390, 1024])
def test_nothing_is_wider_than_the_window(browser, house, width):
    page = house.evening(width=width)
    for name in ("shape", "place", "room", "compare", "take"):
        page.tab(name)
        assert browser.width_needed() <= width, name


def test_what_is_touched_on_a_phone_is_large_enough(browser, house):
    page = house.evening(width=390)
    for name in ("shape", "place", "room", "compare", "take"):
        page.tab(name)
        # Of a hidden radio button its label is touched, of a field the field itself.
        small = browser.run(
            "return [...document.querySelectorAll('button, select, input, summary')]"
            ".filter((one) => one.offsetParent)"
            ".map((one) => one.closest('.segments label, label.switch') ?? one)"
            ".filter((one) => one.getBoundingClientRect().height < 43.9)"
            ".map((one) => one.outerHTML.slice(0, 120))"
        )
        assert small == [], name


@pytest.mark.parametrize("width", [390, 1400])
def test_axe_finds_nothing_that_keeps_anybody_out(browser, house, width):
    axe = (HERE / "axe" / "axe.min.js").read_text()
    page = house.evening(width=width)
    browser.run(axe)
    for name in ("shape", "place", "room", "compare", "take"):
        page.tab(name)
        if name == "compare":
            page.press("Keep")
            page.until(lambda: page.count(".candidate"))
        found = browser.run(
            "return axe.run(document, { resultTypes: ['violations'] }).then((one) =>"
            " one.violations.map(({ id, impact, nodes }) =>"
            " [id, impact, nodes.map((node) => node.html.slice(0, 160)).slice(0, 3)]))"
        )
        assert [one for one in found if one[1] in ("serious", "critical")] == [], name
    low = [one for one in browser.contrasts() if one[0] < 4.5]
    assert low == []


def test_what_is_vendored_is_what_it_says() -> None:
    for name, told in (
        (files("glint.live") / "page/vendor/htm-preact.js", "page/vendor/VENDORED.md"),
    ):
        digest = hashlib.sha256(name.read_bytes()).hexdigest()
        assert digest in (files("glint.live") / told).read_text()
    digest = hashlib.sha256((HERE / "axe" / "axe.min.js").read_bytes()).hexdigest()
    assert digest in (HERE / "axe" / "VENDORED.md").read_text()


def test_the_first_scene_is_shown_without_a_file(browser, tmp_path):
    with serving(cwd=tmp_path, state=tmp_path / ".state") as server:
        page = Evening(browser, server)
        page.press("Save")
        page.until(lambda: (tmp_path / "evening.toml").exists())
        assert len(glint.load(tmp_path / "evening.toml").balls) == 1
