"""What the eye sees: mirrors, images, furnaces, flashes, and the same on any number of threads."""

from __future__ import annotations

import math

import numpy as np
import pytest

import glint
from glint.kernels.beams.trace import trace
from glint.kernels.camera.background import by_blocks, draw_backdrop
from glint.kernels.camera.lens_images import draw_lens_images, sources_of, straight
from glint.kernels.camera.mirror_rays import Samples, draw_bodies, gaze_all
from glint.kernels.camera.projection import Camera, camera, pixel_solid_angle, projected, rays
from glint.kernels.camera.rasterize import fields_of
from glint.kernels.geometry.bvh import at_rest, stances
from glint.kernels.geometry.occluder_lists import no_occluders
from glint.kernels.runtime.threads import at_most
from glint.kernels.surfaces.equal_area import points
from glint.lighting.illumination import light
from glint.lighting.prepared import lighting_of
from glint.render.eye.background import backdrop_of
from glint.render.eye.coverage_mask import covered
from glint.render.eye.geometry import Thing, joined, stances_of
from glint.render.eye.room_texture import room_light
from glint.render.eye.view import EyeView
from glint.room.charts import chart_of
from glint.room.hall import hall
from glint.scene.build import build
from glint.schema.read import scene_of
from glint.shape.openings import CORNER, HOLE, SEAM
from tests.kernels.setups import plates, round_lamp
from tests.lighting.strung import LANTERN

ROOM = hall(9.0, 6.0, 3.5, np.full(3, 0.5), np.full(3, 0.5), 0.0)
SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}
NO_LAMP = round_lamp((0, 0, 3.4), (0, 0, 0), peak=1e-30)


def marked(room, texels=300):
    """A room whose light tells the place: lux is (x, y, z) + 10 at every point."""
    lit = room_light(room, texels)
    for start, surface in zip(lit.start, room.surfaces, strict=True):
        chart = chart_of(surface, texels)
        _, place = points(chart.kind, chart.size, chart.place, chart.form)
        lit.lux[start : start + place.shape[0] * place.shape[1]] = place.reshape(-1, 3) + 10.0
    return lit


def every_block(picture):
    return np.ones((-(-picture.shape[0] // 8), -(-picture.shape[1] // 8)), bool)


def mirrors(squares, reflectance=1.0, convex=False):
    """Mirrored squares (centre, normal, side) as one body."""
    polygons = plates(squares)
    middle = polygons.corners.reshape(-1, 3).mean(axis=0)
    number = len(squares)
    thing = Thing(
        polygons.corners - middle,
        polygons.sides,
        np.ones(number, bool),
        np.full(number, reflectance),
        np.full((number, 3), 0.5),
        middle,
        convex,
    )
    return joined([thing])


NOBODY = np.zeros((0, 0), np.float32)


def seen_along(bodies, lit, eye, way):
    way = np.asarray(way, float) / np.linalg.norm(way)
    met, value = gaze_all(bodies, at_rest(bodies), NO_LAMP, lit, np.array([eye], float), way[None])
    return met[0], value[0]


@pytest.mark.parametrize("target", [(-2.0, 1.0, 0.0), (-4.5, 0.5, 1.0), (-3.0, -1.0, 3.5)])
def test_a_tile_shows_a_point_where_its_mirror_image_is(target):
    centre, normal = np.array([1.0, 0.2, 1.7]), np.array([-0.9, -0.1, 0.08])
    normal /= np.linalg.norm(normal)
    target = np.array(target)
    image = target - 2 * ((target - centre) @ normal) * normal
    eye = np.array([-1.5, -1.0, 1.2])
    met, value = seen_along(mirrors([(centre, normal, 5.0)]), marked(ROOM), eye, image - eye)
    assert met
    # Paint is 0.5, so luminance is 0.5 / pi of the lux, which tells the place.
    assert value * math.pi / 0.5 - 10.0 == pytest.approx(target, abs=1e-3)


def test_a_corner_of_two_mirrors_sends_a_ray_back():
    corner = [((2.0, 0.0, 1.5), (-1, 0, 0), 2.0), ((1.0, 1.0, 1.5), (0, -1, 0), 2.0)]
    eye, way = np.array([0.5, -0.5, 1.5]), np.array([1.0, 0.9, 0.05])
    met, value = seen_along(mirrors(corner, 0.9), marked(ROOM), eye, way)
    assert met
    # Back the way it came, beside the eye, onto the wall behind: two mirrors take 0.9 each.
    place = value * math.pi / 0.5 / 0.81 - 10.0
    assert place[1] == pytest.approx(-3.0, abs=1e-3)
    start = np.array([2.0, -0.5 + 1.5 * 0.9, 1.5 + 1.5 * 0.05])
    up = np.array([2.0 - (1.0 - start[1]) / 0.9, 1.0, start[2] + (1.0 - start[1]) / 0.9 * 0.05])
    along = 4.0 / 0.9
    assert place == pytest.approx(up + along * np.array([-1.0, -0.9, 0.05]), abs=1e-3)


def test_a_large_mirror_shows_the_room_as_from_the_mirrored_eye():
    size, fov = (120, 80), math.radians(70)
    lit = marked(ROOM, 600)
    view = camera(np.array([-1.0, 0.3, 1.4]), np.array([1.0, 0.3, 1.6]), fov, size)
    bodies = mirrors([((0.5, 0.0, 1.5), (-1, 0, 0), 12.0)])
    shown = np.zeros((80, 120, 3), np.float32)
    middle = Samples(np.array([[0.5, 0.5]]), np.array([[0.5, 0.5]]), np.zeros((80, 120), bool))
    every = fields_of(np.ones((80, 120), bool))
    draw_bodies(bodies, at_rest(bodies)[None], NO_LAMP, lit, view, every, middle, shown, NOBODY)
    behind = camera(np.array([2.0, 0.3, 1.4]), np.array([0.0, 0.3, 1.6]), fov, size)
    straight_on = np.zeros_like(shown)
    backdrop = backdrop_of(ROOM, behind, lit)
    draw_backdrop(backdrop, lit, every_block(straight_on), straight_on)
    one_tap = (np.diff(backdrop.start) == 1)[by_blocks(80, 120)][:, ::-1]
    assert one_tap.mean() > 0.8
    assert shown[one_tap] == pytest.approx(straight_on[:, ::-1][one_tap], rel=2e-5)
    moving, still = covered(view, bodies, 0)
    assert still.all() and not moving.any()


def furnace(scene, size=(160, 90)):
    view = EyeView(scene, size, 128, samples=4)
    view.room.paint[:] = 1.0 / math.pi
    view.room.lux[:] = 7.0
    room = view.room._replace(ambient=np.full(3, 7.0))
    bodies = view.bodies
    bodies.paint[:] = 1.0
    bodies.luminance[:] = 7.0 / math.pi
    bodies.reflectance[bodies.mirror] = 1.0
    lamps = lighting_of(scene).lamp_arrays
    dark = lamps._replace(candela=0.0 * lamps.candela, spread=0.0 * lamps.spread)
    picture = np.full((size[1], size[0], 3), 7.0 / math.pi, np.float32)
    angles = np.linspace(0.3, 0.9, len(bodies.radius))
    c, s, no, one = np.cos(angles), np.sin(angles), 0.0 * angles, 1.0 + 0.0 * angles
    rows = [np.stack(row, axis=1) for row in ((c, -s, no), (s, c, no), (no, no, one))]
    turn = stances(np.stack(rows, axis=1), bodies.centre)
    fields = fields_of(view.fields.wanted | view._still_fields.wanted)
    draw_bodies(bodies, turn[None], dark, room, view.camera, fields, view.samples, picture, NOBODY)
    return view, picture


def evening(room=None, shape=None, tile=None, **more):
    tile = {"thickness_mm": 1.5} | (tile or {})
    tables = {
        "room": room or {"radius_m": 3.0},
        "ball": [{"shape": shape or SPIKED, "hang": {"height_m": 1.8}, "tile": tile}],
        **more,
    }
    return build(scene_of(tables))


def test_in_a_white_furnace_nothing_can_be_seen():
    near = {"at_m": [0.0, -0.6, 1.7], "look_m": [0.0, 0.0, 1.8], "fov_deg": 60.0}
    view, picture = furnace(evening(eye=near))
    assert view.fields.wanted.sum() > 500
    assert picture == pytest.approx(7.0 / math.pi, rel=1e-6)


@pytest.mark.parametrize("shape", [SPIKED, LANTERN], ids=["spiked", "lantern"])
def test_nor_can_a_ball_whose_openings_glow_as_the_walls_do(shape):
    near = {"at_m": [0.0, -0.6, 1.7], "look_m": [0.0, 0.0, 1.8], "fov_deg": 60.0}
    tile = {"seam_mm": 2.0, "corner_cut_mm": 5.0, "hole_mm": 4.0}
    scene = evening(shape=shape, tile=tile, string=[{"leds": 3}], eye=near)
    openings = lighting_of(scene).cavities[0].openings
    assert set(openings.kind) >= {SEAM, CORNER, HOLE}
    assert openings.flat.all() == (shape == SPIKED)
    view, picture = furnace(scene)
    assert (view.bodies.depth > 0.0).any() and (view.bodies.depth == 0.0).any()
    assert picture == pytest.approx(7.0 / math.pi, rel=1e-6)


@pytest.mark.parametrize("fov", [70.0, 180.0])
@pytest.mark.parametrize(
    "room",
    [
        {"radius_m": 3.0, "wall_m": 0.5},
        {"kind": "bell", "radius_m": 3.0, "pole_mm": 0.0},
        {"kind": "hall", "length_m": 6.0, "width_m": 5.0, "height_m": 3.0},
    ],
    ids=["dome", "bell", "hall"],
)
def test_an_evenly_lit_room_has_one_luminance(room, fov, monkeypatch):
    # Lambert's law: L = rho E / pi, whichever way one looks; but for the seams of a bell's roof.
    monkeypatch.setattr("glint.room.bell.DOUBLED", 1.0)
    scene = evening({**room, "reflectance": 0.4, "floor_reflectance": 0.4}, eye={"fov_deg": fov})
    lit = room_light(scene.room, 128)
    lit.lux[:] = [5.0, 6.0, 7.0]
    eye = scene.source.eye
    view = camera(
        np.array(eye.at_m, float), np.array(eye.look_m, float), math.radians(fov), (96, 64)
    )
    picture = np.zeros((64, 96, 3), np.float32)
    draw_backdrop(backdrop_of(scene.room, view, lit), lit, every_block(picture), picture)
    expected = np.broadcast_to(0.4 * np.array([5.0, 6.0, 7.0]) / math.pi, picture.shape)
    assert picture == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("look", [(-3.0, 0.0, 0.3), (3.0, 0.0, 0.3)], ids=["seam", "middle"])
def test_a_wall_is_seen_whole_where_its_map_closes_upon_itself(look):
    # Where lux tells the place, neighbours differ by next to nothing: also across the map's ends.
    room = {"radius_m": 3.0, "wall_m": 1.5, "reflectance": 0.5, "fabric_colour": "#ffffff"}
    scene = evening(room)
    lit = marked(scene.room, 400)
    eye = np.array([0.0, 0.0, 0.9])
    view = camera(eye, np.array(look), math.radians(40.0), (120, 40))
    picture = np.zeros((40, 120, 3), np.float32)
    draw_backdrop(backdrop_of(scene.room, view, lit), lit, every_block(picture), picture)
    y, x = (part.ravel() for part in np.indices((40, 120)))
    ways = rays(view, x + 0.5, y + 0.5)
    wall = eye + ways * (3.0 / np.hypot(ways[:, 0], ways[:, 1]))[:, None]
    middle = (wall[:, 2] > 0.1) & (wall[:, 2] < 1.4)
    assert middle.mean() > 0.3
    expected = (wall + 10.0) * 0.5 / math.pi
    assert picture.reshape(-1, 3)[middle] == pytest.approx(expected[middle], rel=1e-3)


@pytest.mark.parametrize("moments", [1, 3])
def test_samples_that_are_spared_are_not_missed(moments):
    near = {"at_m": [0.0, -1.4, 1.7], "look_m": [0.0, 0.0, 1.8], "fov_deg": 40.0}
    scene = evening(eye=near)
    poses = [scene.at(degrees=11.0 + 0.1 * k) for k in range(moments)]
    view = EyeView(scene, (240, 160), 256, 4)
    view.light(light(poses[0], 256))
    stands = np.array([stances_of(view.bodies, pose) for pose in poses])
    shown = np.zeros((160, 240, 3), np.float32)
    given = (lighting_of(scene).lamp_arrays, view.room)
    draw_bodies(view.bodies, stands, *given, view.camera, view.fields, view.samples, shown, NOBODY)
    y, x = np.nonzero(view.fields.wanted)
    total = np.zeros((len(y), 3))
    for n, (right, down) in enumerate(view.samples.few):
        ways = rays(view.camera, x + right, y + down)
        eyes = np.tile(view.camera.at, (len(ways), 1))
        total += gaze_all(view.bodies, stands[n % moments], *given, eyes, ways)[1] / 4.0
    seen = shown[y, x]
    assert seen.max() > 0.0
    off = np.abs(seen - total).max(axis=1) / np.maximum(total.max(axis=1), 0.01 * total.max())
    assert off.mean() < 2e-3 and np.mean(off > 0.05) < 2e-3
    assert seen.mean() == pytest.approx(total.mean(), rel=1e-3)


def arrives(view: Camera, picture) -> float:
    """Illuminance at the eye across the light, lx: the picture over the solid angles of pixels."""
    return sum(
        float(picture[y, x, 1]) * pixel_solid_angle(view, x + 0.5, y + 0.5)
        for y, x in zip(*np.nonzero(picture[..., 1]), strict=True)
    )


@pytest.mark.parametrize("width", [80, 400, 2400])
def test_a_lens_in_a_mirror_sends_the_eye_what_the_inverse_square_law_says(width):
    # From far below a pixel to many pixels wide, the light in the picture is I rho / d**2.
    lamps = round_lamp((2.0, 0.0, 1.0), (0.0, 0.0, 2.0), 0.02, beam=0.3)
    eye = np.array([0.0, -2.0, 1.3])
    centre = np.array([0.0, 0.0, 2.0])
    to_lamp, to_eye = lamps.position[0] - centre, eye - centre
    normal = to_lamp / np.linalg.norm(to_lamp) + to_eye / np.linalg.norm(to_eye)
    beams, _ = trace(plates([(centre, normal, 0.2)], reflectance=0.86), no_occluders(1), lamps)
    view = camera(eye, centre, math.radians(60), (width, width * 3 // 4))
    picture = np.zeros((width * 3 // 4, width, 3), np.float32)
    # A body far behind the eye, that is in nobody's way.
    bodies = mirrors([((0.0, -2.9, 0.2), (0, 0, 1), 0.01)])
    sources = sources_of(beams)
    draw_lens_images(
        beams, lamps, bodies, at_rest(bodies), view, picture, every_block(picture), sources
    )
    away = np.linalg.norm(to_lamp) + np.linalg.norm(to_eye)
    expected = 0.86 * 20000.0 / away**2
    assert sources[0, 4] == pytest.approx(expected, rel=2e-3)
    assert sources[0, 6] == pytest.approx(1.0)
    assert arrives(view, picture) == pytest.approx(expected, rel=3e-3)
    image = projected(view, beams.apex)[0, 1:]
    y, x = np.unravel_index(np.argmax(picture[..., 1]), picture.shape[:2])
    assert np.hypot(x + 0.5 - image[0], y + 0.5 - image[1]) < max(1.0, 0.02 * width)


def test_a_lamp_is_seen_straight_and_hidden_by_what_stands_before_it():
    lamps = round_lamp((0.0, 2.0, 1.5), (0.0, -2.0, 1.5), 0.03, beam=0.3)
    eye = np.array([0.0, -2.0, 1.5])
    view = camera(eye, lamps.position[0], math.radians(60), (200, 120))
    for place, expected in [((0.3, 0.0, 1.5), 20000.0 / 16.0), ((0.0, 0.0, 1.5), 0.0)]:
        picture = np.zeros((120, 200, 3), np.float32)
        bodies = mirrors([(place, (0, -1, 0), 0.1)])
        direct = straight(lamps)
        touched = ~every_block(picture)
        draw_lens_images(
            direct, lamps, bodies, at_rest(bodies), view, picture, touched, sources_of(direct)
        )
        assert touched.any() == bool(expected)
        shown = np.argwhere(picture[..., 1] > 0.0)
        assert {tuple(at) for at in shown // 8} == {tuple(at) for at in np.argwhere(touched)}
        assert arrives(view, picture) == pytest.approx(expected, rel=3e-3)


def test_a_panel_in_a_lamp_beam_has_the_luminance_of_lamberts_law():
    # A grey square 2 m before a lamp, seen square on; E = I / d**2, L = rho E / pi.
    lamps = round_lamp((0.0, -2.0, 1.5), (0.0, 2.0, 1.5), 0.001, beam=0.5, peak=800.0)
    bodies = mirrors([((0.0, 0.0, 1.5), (0, -1, 0), 0.2)])
    bodies.mirror[:] = False
    lit = marked(ROOM)._replace(ambient=np.full(3, 0.3))
    way = np.array([[0.0, 1.0, 0.0]])
    _, value = gaze_all(bodies, at_rest(bodies), lamps, lit, np.array([[0.0, -1.0, 1.5]]), way)
    assert value[0] == pytest.approx(np.full(3, (800.0 / 4.0 + 0.3) * 0.5 / math.pi), rel=1e-4)


def test_the_view_is_the_same_to_the_last_bit_on_any_number_of_threads():
    scene = evening(eye={"at_m": [0.0, -1.4, 1.2], "look_m": [0.0, 0.0, 1.7], "fov_deg": 60.0})
    pose = scene.at(degrees=11)
    maps = light(pose, 256)
    pictures = []
    for number in (1, 3):
        with at_most(number):
            pictures.append(EyeView(scene, (160, 90), 256, 4).frame(pose, maps))
    assert np.isfinite(pictures[0]).all() and pictures[0].min() > 0.0
    assert np.array_equal(pictures[0], pictures[1])


def test_the_eye_sees_the_ball_where_it_hangs_and_turning():
    scene = evening(eye={"at_m": [0.0, -1.4, 1.8], "look_m": [0.0, 0.0, 1.8], "fov_deg": 40.0})
    view = EyeView(scene, (200, 120), 256, 4)
    frames = []
    for degrees in (5.0, 25.0):
        pose = scene.at(degrees=degrees)
        frames.append(view.frame(pose, light(pose, 256)))
    # Mirrors of a turned ball show other things; the rows beside it show the same fabric.
    change = np.abs(frames[0] - frames[1]).max(axis=2) > 0.02 * frames[0].max(axis=2)
    radius = scene.balls[0].body.radius / 1.4 / math.tan(math.radians(20)) * 100
    y, x = np.indices(change.shape)
    on_ball = np.hypot(x + 0.5 - 100, y + 0.5 - 60) < 0.7 * radius
    assert change[on_ball].mean() > 0.5
    assert change[~on_ball].mean() < 0.3


def test_a_picture_of_the_eyes_view_can_be_drawn():
    picture = glint.draw(evening().at(degrees=3), "eye", (96, 64))
    assert picture.shape == (64, 96, 3) and picture.std() > 1.0
    assert (rays(camera(np.zeros(3), np.ones(3), 1.0, (4, 4)), np.zeros(1), np.zeros(1)) != 0).all()
