"""Reports: tables, pictures and a page that fetches nothing and trusts no name."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import numpy as np
import pytest

from glint.analysis.averaging import Figure
from glint.analysis.candidates import candidates_of
from glint.analysis.definitions import definitions
from glint.build.cautions import CAUTIONS
from glint.photometry.colour import LUMINANCE
from glint.report.candidate import Answer, Question, answer
from glint.report.compare import compare
from glint.report.page import page, text_of
from glint.report.pictures import HEADINGS, contact_sheet, strips_of
from glint.report.portrait import _free_place
from glint.report.table import as_csv, in_json, left_out, measured
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.markup import Markup
from tests.report.tables import TABLES

SMALL = {"base": "rings", "diameter_m": 0.4}


def test_what_cannot_be_measured_is_told_and_the_others_go_on(answers):
    assert [one.measures is None for one in answers] == [False, False, True]
    (line,) = left_out(answers)
    assert line.startswith("too big: ")
    assert "height_m" in line


def test_the_page_holds_everything_and_fetches_nothing(answers, file):
    text = page(answers, file, ["lamps"])
    markup = Markup(text)
    assert all(a.startswith(("data:image/webp;base64,", "#")) for a in markup.links)
    assert markup.tags.count("img") == 2 * len(HEADINGS)
    assert markup.tags.count("svg") == 3
    assert markup.tags.count("script") == 1  # ours alone: names are only ever text
    assert "b" not in markup.tags
    assert "@import" not in text
    assert not re.search(r"url\((?!#)", text)
    assert "&lt;script&gt;alert" in text
    assert "Not the same in all of them, so not quite fair: lamps." in text
    for caution in CAUTIONS:
        assert caution.advice in text
    keys = measured(answers)[0].figures
    for definition in definitions():
        assert definition.key not in keys or definition.name in text


def test_the_page_is_the_same_every_time(answers, file):
    assert page(answers, file) == page(answers, file)


def test_a_page_about_nothing_says_so(file):
    text = page([Answer("gone", problem="no room")], file)
    assert "gone: no room" in text


def test_the_csv_holds_every_figure(answers):
    first, second = csv.DictReader(io.StringIO(as_csv(answers)))
    assert (first["candidate"], second["candidate"]) == ("eight", "<b>twenty</b>")
    figure = measured(answers)[0].figures["spots"]
    assert float(first["spots_mean"]) == figure.mean
    assert float(first["spots_most"]) == figure.most
    assert int(first["tiles"]) == 8
    found = in_json(answers)
    assert [one["title"] for one in found["candidates"]] == ["eight", "<b>twenty</b>"]
    assert found["left_out"][0]["title"] == "too big"


def test_the_csv_tells_tiles_panels_weight_and_size_apart(answers):
    one = replace(answers[0].measures, tiles=3, panels=4, grams=5.5, diameter=0.25, poses=6)
    (row,) = csv.DictReader(io.StringIO(as_csv([replace(answers[0], measures=one)])))
    keys = ("tiles", "panels", "weight_g", "diameter_m", "poses")
    assert [float(row[key]) for key in keys] == [3, 4, 5.5, 0.25, 6]


def test_shares_are_shown_as_per_cent(answers, file):
    one = answers[0].measures
    figures = one.figures | {"swept_share": Figure(0.12345, 0.05678, 0.34567, 0.00789)}
    text = page([replace(answers[0], measures=replace(one, figures=figures))], file)
    row = re.search(r"<tr>(?:(?!<tr>).)*5\.68(?:(?!<tr>).)*</tr>", text, re.DOTALL)
    assert row is not None
    assert all(figure in row[0] for figure in ("12.3", "5.68", "34.6", "0.789"))


def test_a_long_exposure_is_the_mean_of_what_the_mirrors_throw_overhead(answers):
    """Luminance of a diffuse surface: reflectance times lux over pi."""
    one, roof = answers[0], build(candidates_of(scene_of(TABLES))[0]).room.surfaces[0]
    texel = (2.0 * roof.reach / len(one.turn)) ** 2
    lumens = (one.turn.sum(axis=(0, 1), dtype=float) * np.pi / roof.reflectance * texel) @ LUMINANCE
    share = one.measures.figures["spots_on_dome_share"].mean
    assert lumens == pytest.approx(share * one.measures.lumens, rel=0.03)


def test_pictures_show_ball_instant_exposure_and_map(answers):
    strips, densest = strips_of(answers)
    assert [strip.title for strip in strips] == ["eight", "<b>twenty</b>"]
    assert densest > 0.0
    for strip in strips:
        assert len(strip.pictures) == len(HEADINGS)
        ball, lit, instant, turn, spots = strip.pictures
        assert {p.shape for p in strip.pictures} == {ball.shape}
        # The studio is bright, the room dark but for what the lamp meets.
        assert np.median(ball) > 100 > np.median(lit)
        assert np.percentile(lit, 99) > 120
        tiles = next(m.tiles for m in measured(answers) if m.title == strip.title)
        assert strip.figures.startswith(f"{tiles} tiles")
        for picture in (instant, turn, spots):
            assert picture[0, 0].tolist() == [0, 0, 0]
            assert picture.max() > 150
        # A turn sweeps more of the dome than an instant lights.
        assert (turn.max(axis=2) > 40).sum() > 50
    sheet = contact_sheet(strips)
    assert sheet.shape[0] > 2 * ball.shape[0]
    assert sheet.shape[1] > len(HEADINGS) * ball.shape[1]


def test_a_ceiling_is_drawn_as_wide_as_it_is_and_others_fill_their_square():
    hall = {"kind": "hall", "length_m": 8.0, "width_m": 4.0, "height_m": 4.0}
    (one,) = compare([scene_of({**TABLES, "room": hall, "candidate": []})], None, True, 0.3)
    (strip,) = strips_of([one]).strips
    assert one.instant is not None and one.instant.shape[1] == 2 * one.instant.shape[0]
    assert {p.shape for p in strip.pictures} == {(288, 288, 3)}
    quarter = 288 // 4
    for picture in strip.pictures[2:]:
        assert (picture[: quarter - 1] == picture[0, 0]).all()  # paper above and below
        assert (picture[quarter + 1] != picture[0, 0]).all()


def test_the_eye_finds_a_place_beside_the_ball_wherever_that_hangs():
    """In a low hall, close to a wall, or beside the pole of a bell."""
    hall = {"kind": "hall", "length_m": 6.0, "width_m": 3.0, "height_m": 1.4}
    tent = {"kind": "bell", "radius_m": 2.0, "rise_m": 2.0, "wall_m": 1.0, "pole_mm": 80.0}
    for room, at, height in ((hall, (2.3, 0.9), 0.7), (tent, (0.6, 0.0), 1.2)):
        ball = {"shape": SMALL, "hang": {"height_m": height, "at_m": at}}
        scene = build(
            scene_of({"room": room, "ball": [ball], "lamp": [{"at_m": [-0.9, 0.3, 0.5]}]})
        )
        eye, near = _free_place(scene.at(degrees=0.0), scene.balls[0].centre)
        assert scene.room.clearance(eye) > 0.0
        away = np.linalg.norm(eye - scene.balls[0].centre) / scene.balls[0].body.radius
        assert away == pytest.approx(near)
        assert near > 2.0


def test_the_map_of_spots_lies_as_the_picture_of_the_dome_does(answers):
    """The lamp stands at +x, which is to the left: most spots are where the map says."""
    found = build(candidates_of(scene_of(TABLES))[0])
    one = measured(answers)[0]
    assert one.map.shape == (64, 64)
    area = found.room.surfaces[0].area
    total = one.map.sum() * (2.0 * found.room.surfaces[0].reach / 64) ** 2
    assert total == pytest.approx(one.figures["density_per_m2"].mean * area, rel=1e-9)


def test_without_pictures_none_are_made(file):
    one = answer(Question(candidates_of(file)[0], pictures=False, tolerance=0.2))
    assert one.measures is not None
    assert one.ball is None
    assert strips_of([one]).strips == []


@pytest.mark.parametrize(
    "value, text",
    [
        (0.0, "0"),
        (1234.5, "1234"),
        (0.012345, "0.0123"),
        (1.8, "1.80"),
        (99.96, "100"),
        (3e-7, "< 0.0001"),
        (np.nan, "\u2013"),
    ],
)
def test_figures_are_short(value, text):
    assert text_of(value) == text
