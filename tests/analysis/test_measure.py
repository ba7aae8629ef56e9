"""Whole measures: a far ball of many tiles, accounts that close, and how steady all is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from glint.analysis.averaging import averaged, relative_error
from glint.analysis.definitions import definition_of
from glint.analysis.energy import energy_over
from glint.analysis.measure import measure
from glint.analysis.period import turn_of
from glint.analysis.table import as_json, rows_of
from glint.lighting.energy_balance import audit
from glint.lighting.illumination import beams
from glint.lighting.spots import spots_of
from glint.lighting.strings.balance import audit_strings
from glint.lighting.visibility import quick_ambient
from glint.photometry.colour import LUMINANCE
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.analysis.scenes import SPIKED, evening


def test_a_far_ball_of_many_tiles_scatters_as_a_sphere_does():
    """A polished sphere scatters a parallel beam evenly over all directions (van de Hulst 1957):
    N small tiles all over it, half of them lit, throw N / (8 pi) spots a steradian on average,
    and the light of a steradian is the same everywhere. Tiles hit at an angle i take cos(i) of
    the light of those hit straight on, so there are N / (16 pi cos(i)) spots to a steradian where
    light is turned by 180 degrees less 2 i."""
    scene = build(
        scene_of(
            {
                "room": {"radius_m": 100.0},
                "tile": {"edge_mm": 10.0, "panel_edge_mm": 10.0, "thickness_mm": 0.5},
                "ball": [
                    {
                        "shape": {"base": "rings", "diameter_m": 0.5, "gap_mm": 1.0},
                        "hang": {"height_m": 50.0},
                    }
                ],
                "lamp": [{"at_m": [80.0, 0.0, 40.0]}],
            }
        )
    )
    pose = scene.at(degrees=3.0)
    spots = spots_of(pose, beams(pose)[0])
    away = spots.point - scene.balls[0].centre
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    tiles = len(scene.balls[0].body.tile_sides)
    assert tiles > 5000
    assert len(away) / (4.0 * math.pi) == pytest.approx(tiles / (8.0 * math.pi), rel=0.01)
    to_lamp = scene.lamps[0].position - scene.balls[0].centre
    to_lamp /= np.linalg.norm(to_lamp)
    half = 50.0
    solid_angle = 2.0 * math.pi * (1.0 - math.cos(math.radians(half)))
    even = spots.lumens.sum() / (4.0 * math.pi)
    for axis in np.vstack([np.eye(3), -np.eye(3), np.array([[1.0, 1.0, 1.0]]) / math.sqrt(3.0)]):
        inside = away @ axis > math.cos(math.radians(half))
        assert spots.lumens[inside].sum() / solid_angle == pytest.approx(even, rel=0.06)
    turned = away @ to_lamp
    for low, high in ((-0.5, 0.0), (0.0, 0.5), (0.5, 1.0)):
        inside = (turned >= low) & (turned < high)
        # cos(i) = sqrt((1 + cos of the angle to the lamp) / 2), and so in closed form:
        number = 0.5 * tiles * (math.sqrt((1.0 + high) / 2.0) - math.sqrt((1.0 + low) / 2.0))
        assert inside.sum() == pytest.approx(number, rel=0.06)


@pytest.fixture(scope="module")
def measured():
    return measure(evening(), 0.02)


def test_every_figure_is_steady_or_says_so(measured):
    assert measured.stable
    assert measured.poses >= 32
    finer = measure(
        evening(ball=[{"shape": SPIKED, "motion": {"rpm": 1.5, "phase_deg": 3.3}}]), 0.02
    )
    for key in ("spots", "cover_share", "size_median_m", "speed_median_m_s", "passes_per_s"):
        one, other = measured.figures[key], finer.figures[key]
        assert one.mean == pytest.approx(other.mean, rel=0.04), key
        assert one.least <= one.mean <= one.most


def test_the_lamps_light_is_found_again(measured):
    shares = [
        figure.mean
        for key, figure in measured.figures.items()
        if key in ("absorbed_share", "caught_share", "cut_off_share")
        or key.startswith(("spots_on_", "spill_on_"))
    ]
    assert sum(shares) == pytest.approx(1.0, abs=1e-3)
    assert measured.figures["not_found_share"].most < 1e-3


def test_light_too_much_of_one_lamp_does_not_hide_what_another_lacks(monkeypatch):
    scene = evening(lamp=[{"at_m": [2.0, 0.0, 1.0]}, {"at_m": [-2.0, 0.0, 1.0]}])
    rows = audit(scene.at(degrees=0.0), 64)
    wrong = [
        replace(row, absorbed=row.absorbed + row.lumens * (row.closure + part))
        for row, part in zip(rows, (0.02, -0.02), strict=True)
    ]
    monkeypatch.setattr("glint.analysis.energy.audit", lambda pose, texels: wrong)
    found = energy_over(turn_of(scene), 0.1)
    assert found.figures["not_found_share"].mean == pytest.approx(0.02)


def test_passes_are_what_the_moving_spots_must_make(measured):
    """A disc of diameter d that moves at v sweeps d v square metres a second."""
    scene = evening()
    turn = turn_of(scene)
    ambient = measured.figures["ambient_lux"].mean
    swept = []
    for k in range(60):
        pose = turn.at(k / 60)
        spots = spots_of(pose, beams(pose)[0])
        shown = (spots.peak >= 0.2 * ambient) & (spots.surface == 0)
        swept.append(float((spots.diameter * spots.speed)[shown].sum()))
    area = scene.room.surfaces[0].area
    assert measured.figures["passes_per_s"].mean == pytest.approx(np.mean(swept) / area, rel=0.1)


def test_what_is_small_is_said_per_tile_and_per_gram(measured):
    figures = measured.figures
    assert figures["spots"].mean == pytest.approx(figures["spots_per_tile"].mean * 60)
    glass = 60 * math.sqrt(3.0) / 4.0 * 2.5**2 * 0.2 * 2.5  # triangles of 25 mm, 2 mm thick
    # Panels of 32 mm and 3 mm, mitred where they meet at the tips and valleys of the spikes.
    plastic = 60 * math.sqrt(3.0) / 4.0 * 3.2**2 * 0.3 * 1.24
    film = 60 * math.sqrt(3.0) / 4.0 * 2.5**2 * 0.015 * 1.1
    beads = 90 * 3.2 * 0.04 * 1.1  # on the 90 edges of 60 triangles
    pockets = 60 * math.sqrt(3.0) / 4.0 * 2.5**2 * 0.2 * 1.24  # as deep as the tiles are thick
    mitred = measured.grams - glass - film - beads + pockets
    assert 0.8 * plastic < mitred < 1.2 * plastic
    assert figures["spots"].mean == pytest.approx(figures["spots_per_gram"].mean * measured.grams)


def test_rows_and_json_hold_every_figure(measured):
    assert len(rows_of(measured)) == len(measured.figures)
    assert all(definition_of(key).says for key in measured.figures)
    assert as_json(measured)["figures"]["spots"]["mean"] == measured.figures["spots"].mean


def test_a_scene_that_shows_nothing_has_no_sizes():
    dark = measure(evening(lamp=[{"at_m": [2.0, 0.0, 1.0], "aim": [0.0, 2.0, 0.5]}]), 0.1)
    assert dark.figures["spots"].mean == 0.0
    assert math.isnan(dark.figures["size_median_m"].mean)
    assert as_json(dark)["figures"]["gap_deg"]["mean"] is None


def test_a_still_scene_is_looked_at_from_all_sides_and_has_no_passes():
    scene = evening(ball=[{"shape": SPIKED, "motion": {"rpm": 0.0}}])
    turn = turn_of(scene)
    assert turn.seconds == 0.0
    assert turn.degrees == 72.0
    assert "passes_per_s" not in measure(scene, 0.1).figures


def test_an_average_takes_more_poses_where_values_change_fast():
    def bump(width):
        return lambda share: {"a": math.exp(-(((share - 0.3) / width) ** 2))}

    slow, fast = (averaged(bump(width), 8, 512, 0.01) for width in (0.1, 0.02))
    assert slow.poses < fast.poses
    assert slow.figures["a"].mean == pytest.approx(0.1 * math.sqrt(math.pi), rel=0.01)
    assert fast.figures["a"].mean == pytest.approx(0.02 * math.sqrt(math.pi), rel=0.01)
    rng = np.random.default_rng(1)
    assert not averaged(lambda share: {"a": rng.normal(0.0, 1.0)}, 8, 32, 0.01).stable


def test_the_error_told_is_about_the_error_made():
    rng = np.random.default_rng(2)
    told = [relative_error(rng.normal(10.0, 2.0, 64)) for _ in range(300)]
    assert np.sqrt(np.mean(np.square(told))) == pytest.approx(0.2 / 8.0, rel=0.1)


ROOMS = {
    "bell": {"kind": "bell", "radius_m": 3.0, "rise_m": 2.2, "wall_m": 1.5, "pole_mm": 0.0},
    "hall": {"kind": "hall", "length_m": 7.0, "width_m": 5.0, "height_m": 3.5},
}


@pytest.mark.parametrize("kind", ["bell", "hall"])
def test_every_room_has_all_its_figures(kind):
    found = measure(evening(room=ROOMS[kind]), 0.1)
    figures = found.figures
    for key in ("spots", "density_per_m2", "density_per_sr", "gap_deg", "cover_share"):
        assert figures[key].mean > 0.0, key
    assert 0.0 < figures["swept_share"].mean <= 1.0
    assert figures["unevenness"].mean > figures["unevenness_of_turn"].mean > 0.0
    roof = build(evening(room=ROOMS[kind]).source).room.surfaces[0]
    per_square = roof.area / found.map.size * (1.0 if kind == "hall" else 4.0 / math.pi)
    total = figures["density_per_m2"].mean * roof.area
    assert found.map.sum() * per_square == pytest.approx(total, rel=1e-6)
    assert np.mean(found.density) * roof.area == pytest.approx(total, rel=1e-9)
    shares = [
        figure.mean
        for key, figure in figures.items()
        if key in ("absorbed_share", "caught_share", "cut_off_share")
        or key.startswith(("spots_on_", "spill_on_"))
    ]
    assert sum(shares) == pytest.approx(1.0, abs=2e-3)


def test_a_ceiling_as_seen_from_the_eye_fills_the_solid_angle_of_a_rectangle():
    """A rectangle a by b at a distance d below its middle: 4 atan(a b / (2 d sqrt(4 d**2 + a**2 +
    b**2))), derived by adding up Van Oosterom and Strackee's triangles (1983)."""
    room, eye = ROOMS["hall"], {"at_m": [0.0, 0.0, 1.5], "look_m": [0.5, 0.0, 3.0]}
    figures = measure(evening(room=room, eye=eye), 0.5).figures
    a, b, d = 7.0, 5.0, 2.0
    expected = 4.0 * math.atan(a * b / (2.0 * d * math.sqrt(4.0 * d * d + a * a + b * b)))
    found = figures["density_per_m2"].mean * a * b / figures["density_per_sr"].mean
    assert found == pytest.approx(expected, rel=1e-3)


def test_nothing_is_visible_in_an_opening():
    """Of a frame with half its triangles open, about half of the spots overhead are left."""
    room = {"radius_m": 3.0, "frequency": 6, "reflectance": 0.0, "floor_reflectance": 0.0}
    whole, half, none = (
        measure(evening(room={**room, **more}), 0.1).figures
        for more in ({}, {"open_share": 0.5}, {"open": ["dome"]})
    )
    ratio = half["density_per_m2"].mean / whole["density_per_m2"].mean
    assert 0.35 < ratio < 0.65
    assert half["cover_share"].mean == pytest.approx(0.5 * whole["cover_share"].mean, rel=0.3)
    assert none["density_per_m2"].mean == none["cover_share"].mean == 0.0
    assert none["spots"].mean > 0.0  # those on the floor


def test_strings_brighten_the_ambient_and_make_no_spots():
    """By what lands overhead, and what the room throws back as an integrating sphere does."""
    ball = {"shape": {"base": "cube", "steps": [{"do": "open", "sides": 4}]}}
    string = {"leds": 4, "led_lumens": 200.0}
    lamp = [{"at_m": [2.0, 0.0, 1.0]}]
    dark = evening(ball=[ball], lamp=lamp)
    lit = evening(ball=[ball], lamp=lamp, string=[string])
    rows = audit_strings(lit.at(degrees=0.0), 256)
    landed = {name: np.full(3, rows[0].landed[name] + rows[0].glow[name]) for name in rows[0].glow}
    more = quick_ambient(lit.at(degrees=0.0)) - quick_ambient(dark.at(degrees=0.0))
    above = lit.room.surfaces[0]
    expected = lit.room.interreflected(landed) + landed[above.name] / above.area
    assert more == pytest.approx(float(expected @ LUMINANCE), rel=0.02)
    assert more > 0.0
    alone = measure(evening(ball=[ball], string=[string]), 0.1).figures
    assert alone["ambient_lux"].mean > 0.0 and "spots" not in alone
