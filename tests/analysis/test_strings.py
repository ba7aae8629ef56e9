"""Figures of strings: what gets out, what stands out beside the lamps, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import glint.analysis.figures  # noqa: F401  registers the measures
from glint.analysis.definitions import values
from glint.analysis.measure import measure
from glint.analysis.string_light import string_light
from glint.analysis.strings_seen import seen_in_words
from glint.analysis.verdict import in_plain_words
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.balance import audit_strings
from glint.lighting.strings.images import images_of
from glint.report.candidate import Question, answer
from tests.lighting.strung import SMALL, strung

HOLES = {"edge_mm": 60.0, "panel_edge_mm": 80.0, "corner_cut_mm": 3.0}
SHUT = {"base": "cuboctahedron"}
LAMP = {"at_m": [2.5, 0.0, 1.0], "beam_deg": 40.0, "peak_cd": 20000.0}


def lantern(lamps=(), **string):
    string = {"leds": 3, "led_lumens": 5.0, "led_mm": 1.5, "bundle_mm": 60.0} | string
    return strung(SHUT, HOLES, string, lamp=list(lamps))


@pytest.fixture(scope="module")
def alone():
    return measure(lantern(), 0.1)


def test_every_led_shows_once_through_every_opening():
    """A cuboctahedron has 12 corners and, without seams, as many openings; each is open to each
    LED, since the body is convex."""
    found = images_of(lantern().at(degrees=0.0))
    assert len(found.peak) >= 3 * 12
    plain = len(images_of(lantern(leds=1).at(degrees=0.0)).peak)
    assert len(images_of(lantern(leds=2).at(degrees=0.0)).peak) == pytest.approx(2 * plain, abs=12)
    assert (found.peak > 0.0).all()


def test_wide_openings_that_come_in_pieces_are_one_image():
    """One square face is open, and an LED close under it shines through all of its width."""
    scene = strung(SMALL, HOLES | {"corner_cut_mm": 0.0}, {"points_mm": [[0, 0, 45]]})
    assert len(lighting_of(scene).cavities[0].beams.lamp) > 1
    assert len(images_of(scene.at(degrees=0.0)).peak) == 1


def test_a_scene_lit_by_strings_alone_has_their_figures_and_none_of_spots(alone):
    figures = alone.figures
    assert "spots" not in figures and "absorbed_share" not in figures
    audit = audit_strings(lantern().at(degrees=0.0), 256)
    out = sum(row.out for row in audit)
    assert figures["string_out_lm"].mean == pytest.approx(out, rel=0.01)
    straight, glow = figures["string_straight_lm"].mean, figures["string_glow_lm"].mean
    assert straight + glow == pytest.approx(out, rel=0.01)
    assert figures["string_out_share"].mean == pytest.approx(out / 15.0, rel=0.01)
    overhead = sum(row.landed["dome"] + row.glow["dome"] for row in audit) / (2 * np.pi * 16.0)
    assert figures["string_lux"].mean == pytest.approx(overhead, rel=0.02)
    assert "lamps_overhead_lux" not in figures
    assert seen_in_words(alone).startswith("There is no lamp: the string light will be seen")


def test_a_flood_of_lamp_light_drowns_the_images_and_covers_nothing():
    pose = lantern([LAMP], led_lumens=0.05).at(degrees=0.0)
    found = string_light(pose)
    dark, drowned = found.standing_out(lamps_on=False), found.standing_out(lamps_on=True)
    assert dark >= 20 and drowned < dark / 2
    assert found.cover(lamps_on=True) < 0.5 * found.cover(lamps_on=False)
    # What a lamp adds where an image lies drowns it there, but not with the lamps off.
    quiet = replace(found, bounced=0.0, at_lamps=0.0 * found.at_lamps)
    assert quiet.standing_out(lamps_on=True) == dark
    flooded = replace(quiet, at_lamps=quiet.at_lamps + 1e6)
    assert (flooded.standing_out(lamps_on=True), flooded.standing_out(lamps_on=False)) == (0, dark)
    figures = values("strings", found)
    assert figures["lamps_overhead_lux"] > 100.0 * figures["string_lux"]
    assert figures["string_images"] == drowned
    assert figures["string_median_lux"] <= figures["string_lux"]


def test_the_median_is_that_of_the_area():
    found = string_light(lantern().at(degrees=0.0))
    median = found.median(found.strings)
    under = found.area[found.strings < median].sum()
    assert under <= 0.5 * found.area.sum() <= under + found.area[found.strings == median].sum()


def test_the_sentences_say_lamps_on_and_lamps_off():
    lit = measure(lantern([LAMP], led_lumens=0.05), 0.5)
    words = seen_in_words(lit)
    assert words.startswith("With the lamps on, the string light will")
    assert "With the lamps off, it will be seen" in words
    assert words in in_plain_words([lit, lit])


def test_a_report_is_made_of_a_scene_lit_by_strings_alone():
    found = answer(Question(lantern().source, True, 0.5))
    assert not found.problem and found.instant is not None and found.turn is not None
    assert found.instant.max() > 0.0 and found.turn.max() > 0.0
