"""Strings in a whole scene: what is laid, what comes out, and what is kept from pose to pose."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.errors import SceneError
from glint.kernels.arrays import OccluderLists, Polygons
from glint.kernels.cavity.led_beams import leave
from glint.kernels.illuminance.light_map import add_beams
from glint.kernels.surfaces.equal_area import points
from glint.lighting.illumination import beams, light
from glint.lighting.incremental import IncrementalLightMap
from glint.lighting.long_exposure import long_exposure
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.balance import audit_strings
from glint.lighting.strings.cavity import LedCavity
from glint.lighting.strings.maps import shining, turns_with
from glint.photometry.colour import LUMINANCE
from glint.scene.build import build
from glint.scene.period import period
from glint.schema.read import scene_of
from glint.shape.bases import solid
from glint.shape.inside import Hollow
from glint.shape.openings import cut_open
from glint.shape.polygons import Polygons as Shapes
from glint.shape.polygons import normals, widen
from glint.shape.polyhedron import Polyhedron
from tests.kernels.cavity.test_led_beams import leds
from tests.lighting.strung import LANTERN, SMALL, strung

SEAMS = {"edge_mm": 60.0, "panel_edge_mm": 80.0, "seam_mm": 2.0, "corner_cut_mm": 3.0}


def leaving(frame: Polyhedron, lamps):
    """Lumens that come out of a bare body's openings, each LED's."""
    cut = cut_open(frame, 0.0, 0.0, 0.0, 0.002)
    shapes = [cut.panels, Shapes(cut.openings.corners, cut.openings.sides)]
    width = max(shape.corners.shape[1] for shape in shapes)
    corners = np.concatenate([widen(shape, width).corners for shape in shapes if len(shape.sides)])
    sides = np.concatenate([shape.sides for shape in shapes])
    number = len(sides)
    polygons = Polygons(
        corners,
        sides,
        normals(Shapes(corners, sides)),
        np.zeros(number),
        np.zeros(number, bool),
        np.zeros(number, np.int64),
    )
    occluders = OccluderLists(np.zeros(number + 1, np.int64), np.zeros(0, np.int64))
    rims, flat = cut.openings.through, cut.openings.flat
    return leave(polygons, rims, flat, occluders, lamps, True)


def test_a_body_of_nothing_but_open_faces_is_the_bare_string():
    frame = solid("dodecahedron")
    bare = Polyhedron(0.1 * frame.vertices, (), frame.faces)
    lamps = leds([[0.0, 0.0, 0.0], [0.03, -0.02, 0.05]])
    found, fates, through = leaving(bare, lamps)
    assert through == pytest.approx(lamps.lumens, rel=2e-4)
    assert found.lumens.sum() == pytest.approx(lamps.lumens.sum(), rel=2e-4)
    assert fates.caught.sum() == pytest.approx(0.0, abs=1e-9)


def test_a_closed_body_lets_nothing_out():
    frame = solid("dodecahedron")
    assert not len(cut_open(frame, 0.0, 0.0, 0.0, 0.0).openings.sides)
    with pytest.raises(SceneError, match="closed all round"):
        strung({"base": "icosahedron"}, {}, {"leds": 3})


@pytest.mark.parametrize("shape", [{"mesh": "pear.stl"}, {"base": "rings", "diameter_m": 0.3}])
def test_balls_without_seams_take_no_string(shape, tmp_path):
    if "mesh" in shape:
        import trimesh

        trimesh.creation.icosphere(1, 100.0).export(tmp_path / "pear.stl")
    tables = {"room": {"radius_m": 4.0}, "ball": [{"shape": shape}], "string": [{}]}
    with pytest.raises(SceneError, match="no seams"):
        build(scene_of(tables, tmp_path / "scene.toml"))


@pytest.mark.parametrize(
    "string",
    [
        {"leds": 40, "bundle_mm": 120},
        {"leds": 30, "lay": "coil", "coil_mm": 80, "coil_height_mm": 60, "turns": 4},
    ],
)
def test_leds_lie_inside_their_body_clear_of_its_panels(string):
    scene = strung(SMALL, SEAMS, string)
    (laid,) = scene.strings
    assert len(laid.points) == string["leds"]
    free = Hollow(scene.balls[0].body.frame).clearance(laid.points)
    assert free.min() >= laid.radius
    again = strung(SMALL, SEAMS, string).strings[0].points
    assert np.array_equal(laid.points, again)
    if "bundle_mm" in string:
        assert np.linalg.norm(laid.points, axis=1).max() <= 0.06
        other = strung(SMALL, SEAMS, string | {"seed": 8}).strings[0].points
        assert not np.array_equal(laid.points, other)


@pytest.mark.parametrize(("words", "turns"), [({}, 5.0), ({"turns": 2.5}, 2.5)])
def test_a_coil_has_as_many_turns_as_it_is_given(words, turns):
    (laid,) = strung(SMALL, SEAMS, {"leds": 40, "lay": "coil", "coil_mm": 80} | words).strings
    azimuth = np.unwrap(np.arctan2(laid.points[:, 1], laid.points[:, 0]))
    assert np.diff(azimuth) == pytest.approx(np.full(39, 2.0 * math.pi * turns / 40))


def test_leds_that_stick_out_are_told_of():
    with pytest.raises(SceneError, match="not all inside"):
        strung(SMALL, SEAMS, {"points_mm": [[0, 0, 0], [0, 0, 300]]})
    with pytest.raises(SceneError, match="not all inside"):
        strung(SMALL, SEAMS, {"lay": "coil", "coil_mm": 400})


def test_colours_take_turns_and_have_their_luminance():
    scene = strung(SMALL, SEAMS, {"leds": 5, "colour": ["#ff0000", "#00ff00"]})
    colour = scene.strings[0].colour
    assert colour @ LUMINANCE == pytest.approx(np.ones(5))
    assert (colour[0::2, 1:] == 0.0).all() and (colour[1::2, [0, 2]] == 0.0).all()


def test_a_turned_ball_turns_its_pattern():
    scene = strung(SMALL, SEAMS, {"leds": 4, "led_mm": 3.0})
    quarter = light(scene.at(degrees=90.0), 256)["floor"].lux
    still = light(scene.at(degrees=0.0), 256)["floor"].lux
    # Seen from above with +y up, a quarter turn is a quarter turn of the map.
    assert quarter == pytest.approx(np.rot90(still), rel=1e-4, abs=1e-3 * float(still.max()))


def error_of(found, exact):
    """RMS difference over the lit texels, as a share of the mean there."""
    strong = exact @ LUMINANCE
    lit = strong > 0.05 * strong.max()
    return float(np.sqrt(np.mean(((found - exact) @ LUMINANCE)[lit] ** 2)) / strong[lit].mean())


@pytest.mark.parametrize(("led_mm", "most"), [(5.0, 0.01), (1.5, 0.03)])
def test_maps_that_are_kept_and_turned_are_near_those_worked_out_anew(led_mm, most):
    scene = strung(
        SMALL, SEAMS, {"leds": 6, "led_mm": led_mm, "twinkle_s": 5.0}, ball={"motion": {"rpm": 3}}
    )
    for name in ("dome", "floor"):
        surface = next(s for s in scene.room.surfaces if s.name == name)
        assert turns_with(lighting_of(scene).cavities[0], surface)
        running = IncrementalLightMap(scene, surface, 512, np.zeros(3))
        for seconds in (0.0, 1.7, 11.3):
            pose = scene.at(seconds=seconds)
            running.show([pose])
            exact = light(pose, 512)[name].lux.astype(float)
            assert error_of(running.lux.astype(float), exact) < most
            assert running.lux.sum() == pytest.approx(exact.sum(), rel=2e-3)


def test_beside_the_axis_every_pose_is_worked_out_anew():
    hang = {"height_m": 2.4, "at_m": [0.7, 0.0]}
    scene = strung(SMALL, SEAMS, {"leds": 3}, ball={"hang": hang})
    surface = scene.room.surfaces[0]
    assert not turns_with(lighting_of(scene).cavities[0], surface)
    running = IncrementalLightMap(scene, surface, 256, np.zeros(3))
    poses = [scene.at(degrees=30.0), scene.at(degrees=31.0)]
    running.show(poses)
    exact = np.mean([light(pose, 256)["dome"].lux for pose in poses], axis=0)
    assert running.lux == pytest.approx(exact, rel=1e-4, abs=1e-5)


def test_a_long_exposure_is_the_mean_of_a_turn():
    scene = strung(SMALL, SEAMS, {"leds": 3})
    lux = long_exposure(scene, 128, count=1)["dome"].lux
    poses = [scene.at(degrees=360.0 * n / 24) for n in range(24)]
    mean = np.mean([light(pose, 128)["dome"].lux for pose in poses], axis=0)
    assert lux.sum() == pytest.approx(mean.sum(), rel=2e-3)
    # A whole turn looks alike from all sides.
    assert error_of(lux.astype(float), np.rot90(lux).astype(float)) < 0.01


def test_a_long_exposure_takes_a_twinkle_at_its_mean():
    """Half of full, however little of a slow twinkle goes by in a turn of three seconds."""
    steady, slow = (
        long_exposure(
            strung(SMALL, SEAMS, {"leds": 1} | words, ball={"motion": {"rpm": 20}}), 96, count=1
        )["dome"].lux.sum(dtype=float)
        for words in ({}, {"twinkle_s": 120.0})
    )
    assert slow == pytest.approx(0.5 * steady, rel=1e-4)


def test_glow_is_that_of_even_openings():
    # One open face far away: L A cos / d**2 (Lambert), with the luminance of the cavity.
    shape = {"base": "icosahedron", "steps": [{"do": "open", "sides": 3}]}
    scene = strung(
        shape, {}, {"points_mm": [[0, 0, 0]], "led_mm": 1.0}, ball={"hang": {"height_m": 0.4}}
    )
    (inside,) = lighting_of(scene).cavities
    one = inside.brightness(0.0)
    glow = inside.radiance(one) @ LUMINANCE
    lamps = inside.lamps
    walls = float((lamps.lumens - inside.through).sum())
    share = inside.open_area / (inside.open_area + inside.wall_area)
    # Nineteen of twenty alike triangles are walls, and the light falls evenly on all.
    assert share == pytest.approx(1 / 20)
    assert walls == pytest.approx(2.0 * 19 / 20, rel=1e-3)
    multiplier = 0.7 / (1 - 0.7 * 19 / 20)
    assert glow == pytest.approx(walls * multiplier / (math.pi * inside.open_area * 20), rel=1e-9)
    found = light(scene.at(degrees=0.0), 512)["dome"]
    straight = light(scene.at(degrees=0.0), 512)["dome"].lux.copy()
    turned, placed = inside.placed(np.eye(3), inside.centre, -one)
    add_beams(turned, placed, found.chart, straight)
    _, place = points(found.chart.kind, found.chart.size, found.chart.place, found.chart.form)
    up = straight[256, 256] @ LUMINANCE
    distance = place[256, 256, 2] - 0.4
    height = np.linalg.norm(inside.openings.corners.mean(axis=1)[0])
    assert up == pytest.approx(glow * inside.open_area / (distance - height) ** 2, rel=5e-3)
    (seen,) = shining(scene.at(degrees=0.0))
    assert seen.radiance[0] @ LUMINANCE == pytest.approx(glow)
    assert seen.corners[0, :, 2].min() > 0.4


def test_lamp_and_string_add_up():
    lamp = {"at_m": [3.0, 0.0, 1.6]}
    both = strung(SMALL, SEAMS, {"leds": 3}, lamp=[lamp])
    alone = strung(SMALL, SEAMS, {"leds": 3})
    assert not alone.lamps
    dark = build(scene_of({
        "room": {"radius_m": 4.0, "ambient_lux": 0.0}, "tile": SEAMS, "lamp": [lamp],
        "ball": [{"shape": SMALL, "hang": {"height_m": 2.4}}],
    }))  # fmt: skip
    maps = [light(scene.at(degrees=5.0), 128)["dome"].lux for scene in (both, alone, dark)]
    assert maps[0] == pytest.approx(maps[1] + maps[2], rel=1e-4, abs=1e-4)


def test_a_string_breaks_the_symmetry_and_a_twinkle_must_fit():
    shape, rpm = SMALL, {"motion": {"rpm": 2.0}}
    assert period(strung(shape, SEAMS, {"leds": 3}, ball=rpm)) == 30
    assert period(strung(shape, SEAMS, {"leds": 3, "twinkle_s": 4.0}, ball=rpm)) == 60
    assert period(strung(shape, SEAMS, {"leds": 3}, ball=rpm)) == 30


def test_a_drilled_tile_loses_the_area_of_its_hole():
    # Far from an even lamp, light on a tile is in proportion to its area.
    def reached(hole_mm: float) -> float:
        ball = {"shape": {"base": "icosahedron"}, "hang": {"height_m": 2.4}}
        lamp = {"at_m": [3.0, 0.0, 2.4], "beam_deg": 60.0}
        tables = {"room": {"radius_m": 4.0}, "tile": {"hole_mm": hole_mm}, "ball": [ball]}
        _, fates = beams(build(scene_of(tables | {"lamp": [lamp]})).at(degrees=3.0))
        return float(fates.reached[0, 1])

    tile = math.sqrt(3) / 4 * 25.0**2
    hole = math.pi / 4 * 8.0**2
    assert reached(8.0) / reached(0.0) == pytest.approx(1 - hole / tile, rel=2e-3)


def test_insides_are_only_those_with_strings():
    plain = scene_of({"room": {"radius_m": 4.0}, "ball": [{"shape": {"base": "icosahedron"}}]})
    assert build(plain).cavities == ()
    assert isinstance(strung(SMALL, SEAMS, {"leds": 2}).cavities[0], LedCavity)


def test_a_swinging_ball_takes_its_strings_along():
    motion = {"motion": {"rpm": 2.0, "swing_deg": 14.0, "swing_towards_deg": 50.0}}
    scene = strung(LANTERN, SEAMS, {"leds": 4}, ball=motion)
    inside, pose = lighting_of(scene).cavities[0], scene.at(seconds=0.0)
    assert not any(turns_with(inside, surface) for surface in scene.room.surfaces)
    for row in audit_strings(pose, 512):
        assert row.closure == pytest.approx(0.0, abs=4e-3)
    # Seen from far, a floor under the lantern is as bright as the inverse square law says of where
    # the lantern is now: the middle of the light has moved with it.
    point = light(pose, 256)["floor"].point
    shift = [
        np.average(point[..., :2].reshape(-1, 2), axis=0, weights=lux.sum(axis=2).ravel())
        for lux in (light(scene.at(seconds=t), 256)["floor"].lux for t in (0.0, quarter_of(scene)))
    ]
    moved = shift[0] - shift[1]
    way = pose.centres[0][:2] - scene.balls[0].centre[:2]
    assert np.linalg.norm(way) > 0.1
    assert moved @ way / np.linalg.norm(way) > 0.3 * np.linalg.norm(way)
    for shown in shining(pose):
        away = shown.corners - pose.centres[0]
        assert np.linalg.norm(away, axis=-1).max() <= scene.balls[0].body.radius * 1.01


@pytest.mark.parametrize(
    ("shape", "tile", "string"),
    [
        # Rings of this one are bent over the edges of an octahedron, and LEDs lie near seams.
        (
            {"base": "cuboctahedron", "steps": [{"do": "raise", "sides": 4}]},
            {"seam_mm": 1.5, "corner_cut_mm": 4.0},
            {"leds": 4, "led_mm": 5.0},
        ),
        (
            {"base": "cube", "steps": [{"do": "open", "sides": 4}, {"do": "raise", "sides": 4}]},
            {"seam_mm": 0.5, "corner_cut_mm": 3.0},
            {"leds": 4, "led_mm": 6.0, "lay": "coil", "coil_mm": 14.0},
        ),
        (
            {"base": "dodecahedron", "steps": [{"do": "raise", "sides": 5}]},
            {"corner_cut_mm": 5.0, "hole_mm": 6.0},
            {"points_mm": [[0, 0, 0], [9, 4, -7], [-5, 8, 6]], "led_mm": 10.0},
        ),
    ],
)
def test_what_leaves_a_body_is_what_the_room_gets(shape, tile, string):
    scene = strung(shape, tile, string)
    (inside,) = lighting_of(scene).cavities
    (row,) = audit_strings(scene.at(degrees=7.0), 512)
    left = float(inside.beams.lumens.sum())
    glow = math.pi * row.radiance * inside.open_area * inside.aperture_glow.escaped
    assert min(left, glow) > 0.02 * row.lumens
    assert sum(row.landed.values()) == pytest.approx(left, rel=1e-3)
    assert sum(row.glow.values()) == pytest.approx(glow, rel=1e-3)
    assert abs(row.closure) < 3e-4


def quarter_of(scene):
    """The moment at which a ball that begins at an end hangs straight down."""
    return scene.balls[0].swing.period / 4.0


def test_an_open_shutter_takes_the_mean_of_its_instants():
    scene = strung(SMALL, SEAMS, {"leds": 5, "twinkle_s": 5.0}, ball={"motion": {"rpm": 3}})
    running = IncrementalLightMap(scene, scene.room.surfaces[0], 256, np.zeros(3))
    poses = [scene.at(seconds=4.0 + 0.02 * n) for n in range(12)]
    running.show(poses)
    exact = np.mean([light(pose, 256)["dome"].lux for pose in poses[::2]], axis=0)
    assert error_of(running.lux.astype(float), exact.astype(float)) < 0.02
    assert running.lux.sum() == pytest.approx(exact.sum(), rel=3e-3)


def test_a_ball_of_too_many_openings_and_leds_is_refused_before_it_is_cut(monkeypatch):
    sphere = {"base": "geodesic", "diameter_m": 2.0, "frequency": 8}
    holes = {"edge_mm": 20.0, "panel_edge_mm": 25.0, "hole_mm": 5.0}
    monkeypatch.setattr("glint.scene.led_layout.cut_open", None)
    with pytest.raises(SceneError) as told:
        strung(sphere, holes, [{"leds": 50}, {"leds": 40}])
    assert 'string]] 1 ball: found "ball 1", which has 1280 openings, with 90 LEDs' in str(
        told.value
    )
    assert "allowed: at most 78 LEDs behind so many openings: fewer leds" in str(told.value)
    with pytest.raises(SceneError, match="which has 4862 openings; allowed: at most 4000"):
        strung(sphere | {"frequency": 9}, holes | {"seam_mm": 1.0}, {"leds": 1})


def test_strings_in_a_closed_ball_are_told_of_once_and_at_once(monkeypatch):
    monkeypatch.setattr("glint.scene.led_layout.cut_open", None)
    with pytest.raises(SceneError, match="closed all round") as told:
        strung({"base": "icosahedron"}, {}, [{}] * 64)
    assert len(told.value.problems) == 1


def test_a_bundle_that_cannot_fit_is_given_up_soon():
    from glint.shape.inside import SAMPLE, bundle

    asked = []

    class Counted(Hollow):
        def clearance(self, points):
            asked.append(len(points))
            return super().clearance(points)

    with pytest.raises(ValueError, match="no room"):
        bundle(Counted(solid("cube")), 500, 1.0, 0.6, 7)
    assert sum(asked) <= SAMPLE + 1


@pytest.mark.parametrize("shape", [SMALL, LANTERN], ids=["convex", "with valleys"])
def test_what_lies_inside_is_what_the_panels_enclose(shape):
    body = strung(shape, SEAMS, {"leds": 1}).balls[0].body
    hollow, panels = Hollow(body.frame), body.panels
    points = np.random.default_rng(1).uniform(-body.radius, body.radius, (300, 3))
    away = hollow.clearance(points)
    held = hollow.holds(points, 0.01)
    assert (held == (away >= 0.01)).all() and 0 < held.sum() < 300
    # From inside, the ray to a panel's middle that meets nothing nearer is as `away`.
    middles = panels.corners[:, :3].mean(axis=1)
    nearest = np.linalg.norm(points[:, None] - middles[None], axis=2).min(axis=1)
    assert (np.abs(away[away > 0]) <= nearest[away > 0] + 1e-12).all()
    assert (away[np.linalg.norm(points, axis=1) > body.radius] < 0).all()
    assert hollow.reach == pytest.approx(hollow.clearance(np.zeros((1, 3)))[0])
