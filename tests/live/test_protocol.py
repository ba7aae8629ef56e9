"""A page and a server: edits, undo, poses and pictures, as PROTOCOL.md says."""

from __future__ import annotations

import io
import signal
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import glint
from glint.live.wire import Packet
from tests.live.client import Page, Server, serving


@pytest.fixture
def page(shared: Server):
    found = Page.welcome(shared)
    yield found
    found.socket.close()


def undone(page: Page) -> Packet:
    """The scene after everything was undone."""
    while True:
        page.send("undo")
        scene = page.wait("scene")
        if not scene.facts["can_undo"]:
            return scene


def test_the_first_scene_says_what_there_is(page: Page) -> None:
    welcome, scene = page.heard[0], page.heard[1]
    assert isinstance(welcome, dict) and isinstance(scene, Packet)
    facts = welcome["schema"]["tables"]["HangTable"]["height_m"]
    assert (facts["kind"], facts["unit"], facts["least"]) == ("number", "metres", 0.0)
    assert welcome["schema"]["tables"]["SceneFile"]["room"]["named"]["dome"] == "DomeTable"
    assert welcome["scenes"] == ["evening.toml"] and len(welcome["shapes"]) > 50
    assert scene.facts["tables"]["ball"][0]["name"] == "quince"
    assert scene.facts["filled"]["ball"][0]["tile"]["edge_mm"] == 25.0
    assert not scene.facts["unsaved"] and not scene.facts["can_undo"]
    assert (scene.arrays["polygon"][:, 3] == 1).sum() == scene.facts["balls"][0]["tiles"] == 14


def test_edits_are_shown_undone_and_redone(page: Page) -> None:
    seq = page.send("edit", changes={"ball[quince].hang.height_m": 2.0, "lamp[0].beam_deg": 5.0})
    scene = page.wait("scene")
    assert scene.facts["seq"] == seq and scene.facts["unsaved"] and scene.facts["can_undo"]
    assert scene.facts["balls"][0]["centre"][2] == 2.0
    assert "polygon" in scene.facts["kept"] and "candela" in scene.arrays
    scene = undone(page)
    assert scene.facts["balls"][0]["centre"][2] == 1.8 and not scene.facts["unsaved"]
    page.send("redo")
    assert page.wait("scene").facts["balls"][0]["centre"][2] == 2.0
    undone(page)


def test_a_drag_is_one_step_of_undo(page: Page) -> None:
    for number in range(20):
        page.send("edit", changes={"lamp[0].at_m": [2.0, 0.02 * number, 1.0]}, group="drag 1")
    while page.wait("scene").facts["lamps"][0]["at"][1] < 0.379:
        pass
    page.send("undo")
    scene = page.wait("scene")
    assert scene.facts["lamps"][0]["at"][1] == 0.0 and not scene.facts["can_undo"]


def test_a_wrong_value_is_told_at_its_key_with_a_remedy(page: Page) -> None:
    page.send("edit", changes={"lamp[0].aim": "quinze"})
    problem = page.wait("problem")["problems"][0]
    assert problem["path"] == "lamp[0].aim"
    assert problem["remedy"]["changes"] == {"lamp[0].aim": "quince"}
    page.send("edit", changes={"ball[0].motion.rpm": 500.0})
    problem = page.wait("problem")["problems"][0]
    assert problem["remedy"]["changes"] == {"ball[0].motion.rpm": 120.0}
    page.send("edit", changes=problem["remedy"]["changes"])
    assert page.wait("scene").facts["filled"]["ball"][0]["motion"]["rpm"] == 120.0
    undone(page)


def test_balls_lamps_and_steps_come_and_go(page: Page) -> None:
    page.send("add", what="ball")
    scene = page.wait("scene")
    assert [ball["name"] for ball in scene.facts["balls"]] == ["quince", "ball 2"]
    page.send("add", what="lamp")
    page.wait("scene")
    page.send("add", what="step", ball=0, value={"do": "raise", "sides": 4})
    scene = page.wait("scene")
    assert [ball["tiles"] for ball in scene.facts["balls"]] == [8 + 6 * 4, 60]
    page.send("edit", changes={"lamp[1].aim": "quince"})
    page.wait("scene")
    page.send("remove", what="ball", number=0)
    scene = page.wait("scene")
    # What aimed at the ball that is gone aims at the first one that is left.
    assert [ball["name"] for ball in scene.facts["balls"]] == ["ball 2"]
    assert [lamp["aim"] for lamp in scene.facts["filled"]["lamp"]] == ["ball 2", "ball 2"]
    undone(page)


def test_candidates_are_kept_and_taken_back(page: Page) -> None:
    page.send("keep", name="plain")
    kept = page.wait("candidates")["candidates"]
    assert [(one["name"], one["tiles"]) for one in kept][-1] == ("plain", 14)
    page.send("edit", changes={"ball[0].shape": {"base": "octahedron"}})
    assert page.wait("scene").facts["balls"][0]["tiles"] == 8
    page.send("back", number=kept[-1]["number"])
    assert page.wait("scene").facts["balls"][0]["tiles"] == 14
    page.send("drop", number=kept[-1]["number"])
    assert page.wait("candidates")["candidates"] == kept[:-1]
    undone(page)


def test_beams_of_a_pose_are_those_of_the_scene(page: Page, shared: Server) -> None:
    seq = page.send("pose", seconds=2.5)
    pose = page.wait("pose")
    scene = glint.load(shared.scene)
    found = glint.beams(scene.at(seconds=2.5))[0]
    rows, corners = pose.arrays["beam"], pose.arrays["corner"]
    assert pose.seq == seq and len(rows) == len(found.lamp)
    np.testing.assert_allclose(rows[:, 0, :3], found.apex, atol=1e-5)
    np.testing.assert_allclose(rows[:, 1, 3], found.share, rtol=1e-6)
    first, second, hand = rows[:, 1, :3], rows[:, 2, :3], rows[:, 2, 3:]
    np.testing.assert_allclose(hand * np.cross(first, second), found.frame[:, 2], atol=1e-5)
    for row, window, sides in zip(rows, found.window, found.sides, strict=True):
        start = int(row[3, 0])
        np.testing.assert_allclose(corners[start : start + sides], window[:sides], atol=1e-5)


def test_of_many_poses_that_wait_the_newest_is_answered(page: Page) -> None:
    last = 0
    for number in range(300):
        last = page.send("pose", seconds=0.01 * number)
    answers = 1
    while page.wait("pose").seq != last:
        answers += 1
    assert answers < 300
    page.send("pose", seconds=0.0)
    assert page.wait("pose").seq == last + 1  # nothing waited behind the newest


def test_a_hundred_edits_a_second_leave_no_backlog(page: Page) -> None:
    for number in range(300):
        height = 1.6 + 0.001 * number
        last = page.send("edit", changes={"ball[0].hang.height_m": height}, group="drag 2")
        time.sleep(0.005)
    sent = time.monotonic()
    scenes = 0
    while page.wait("scene").facts["seq"] != last:
        scenes += 1
    assert scenes < 300
    page.send("pose", seconds=0.0)
    assert page.wait("pose").arrays["stance"][0, 2, 3] == pytest.approx(1.899)
    assert time.monotonic() - sent < 60.0  # hours, were they done one by one
    undone(page)


@pytest.mark.parametrize(("view", "size"), [("dome", (128, 128)), ("eye", (160, 90))])
def test_at_rest_the_exact_picture_comes(page: Page, view: str, size: tuple[int, int]) -> None:
    page.send("pose", seconds=1.0)
    page.send("view", view=view, width=size[0], height=size[1])
    picture = page.wait("picture")
    assert picture.facts["exact"] and picture.facts["seconds"] == 1.0
    drawn = Image.open(io.BytesIO(picture.arrays["image"].tobytes()))
    assert drawn.format == "JPEG" and drawn.size == size
    assert np.ptp(np.asarray(drawn)) > 100


def test_frames_are_drawn_for_pages_that_cannot(page: Page) -> None:
    for view, size in (("dome", (96, 96)), ("eye", (128, 72)), ("eye", (128, 72))):
        width, height = size
        seq = page.send("pose", seconds=0.5, frames=view, width=width, height=height, playing=True)
        picture = page.wait("picture")
        assert picture.seq == seq and not picture.facts["exact"]
        assert Image.open(io.BytesIO(picture.arrays["image"].tobytes())).size == size
    page.send("pose", seconds=0.0)
    page.wait("pose")


def test_figures_of_the_moment_then_of_the_turn(page: Page, shared: Server) -> None:
    page.send("pose", seconds=0.0)
    figures = page.wait("figures")
    while figures["turn"] is None:
        figures = page.wait("figures")
    now, turn = figures["now"], figures["turn"]
    assert now["tiles"] == 14 and now["grams"] > 0.0 and now["string_lumens_out"] is None
    assert sum(kind["needed"] for kind in figures["stock"]) == 14
    measured = glint.measure(glint.load(shared.scene)).figures
    assert turn["spots"][0] == pytest.approx(measured["spots"].mean, rel=0.05)
    assert turn["brightness_lux"][0] == pytest.approx(
        measured["brightness_median_lux"].mean, rel=0.1
    )
    assert turn["gap_deg"][0] == pytest.approx(measured["gap_deg"].mean, rel=0.05)
    assert turn["passes_per_s"][0] == pytest.approx(measured["passes_per_s"].mean, rel=0.2)


def test_one_line_of_output_and_a_clean_end(folder: Path, tmp_path: Path) -> None:
    for number in (signal.SIGINT, signal.SIGTERM):
        with serving(
            str(folder / "evening.toml"), cwd=tmp_path, state=tmp_path / "state"
        ) as server:
            page = Page.welcome(server)
            assert server.stop(number) == ("", "")
            assert server.process.returncode == 0
            # Nothing was done, so nothing is to be offered back.
            assert not list((tmp_path / "state" / "glint" / "live").iterdir())
            page.socket.close()


def test_without_a_scene_there_is_a_first_one(tmp_path: Path) -> None:
    with serving(cwd=tmp_path, state=tmp_path / "state") as server:
        page = Page.welcome(server)
        page.send("save")
        assert "path" in page.wait("problem")["problems"][0]["text"]
        page.send("save", path="first.toml")
        assert page.wait("saved")["path"] == "first.toml"
    assert glint.load(tmp_path / "first.toml").balls[0].name == "first ball"
