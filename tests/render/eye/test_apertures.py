"""Balls that shine by themselves, as the eye sees them: openings, LEDs through them, mirrors."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from glint.kernels.camera.aperture_sources import aperture_sources, openings_of
from glint.kernels.camera.lens_images import draw_lens_images, sources_of
from glint.kernels.camera.mirror_rays import gaze_all
from glint.kernels.camera.projection import camera, pixel_solid_angle, projected
from glint.kernels.geometry.bvh import NOTHING, stances
from glint.lighting.illumination import light
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.maps import shining
from glint.photometry.colour import LUMINANCE
from glint.render.eye.apertures import luminance_of
from glint.render.eye.frames import EyeFilm
from glint.render.eye.geometry import stances_of
from glint.render.eye.view import EyeView
from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of
from glint.shape.openings import FACE, HOLE
from glint.shape.polygons import Polygons, centres, normals

OPEN = {"base": "cuboctahedron", "steps": [{"do": "open", "sides": 4, "count": 1}]}
CUBE = {"base": "cube"}
STILL = {"rpm": 0.0}


def scene(shape, tile, string, eye=None, more=(), room=None) -> Scene:
    """One ball that shines by itself and does not turn, and perhaps others; no lamp, no veil."""
    # By a triangle or a corner, so that its line is before none of the openings asked about.
    hang = {"height_m": 2.0} | ({"by": "face", "sides": 3} if shape == OPEN else {})
    ball = {"name": "lit", "shape": shape, "hang": hang, "motion": STILL}
    tables = {
        "room": {"radius_m": 4.0, "ambient_lux": 0.01} | (room or {}),
        "ball": [ball | {"tile": tile}, *more],
        "string": [{"ball": "lit"} | string],
        "eye": {"glare": 0.0, "fov_deg": 30.0} | (eye or {}),
    }
    return build(scene_of(tables))


def seen(strung: Scene, size=(160, 120), seconds=0.0):
    pose = strung.at(seconds=seconds)
    view = EyeView(strung, size, 128, 4)
    return view, view.frame(pose, light(pose, 128))


def opening(strung: Scene, kind: int, seconds=0.0):
    """Middle, normal, corners and radiance of the first opening of a kind, in the room."""
    inside, lit = lighting_of(strung).cavities[0], shining(strung.at(seconds=seconds))[0]
    row = int(np.flatnonzero(inside.openings.kind == kind)[0])
    shapes = Polygons(lit.corners[row : row + 1], lit.sides[row : row + 1])
    corners = lit.corners[row, : lit.sides[row]]
    return centres(shapes)[0], normals(shapes)[0], corners, lit.radiance[row]


def eye_at(place, look, fov=30.0):
    return {"at_m": [float(v) for v in place], "look_m": [float(v) for v in look], "fov_deg": fov}


def solid_angle(eye, corners) -> float:
    """Of a convex polygon by Van Oosterom & Strackee (1983), equation 8, triangle by triangle."""
    ways = (corners - eye) / np.linalg.norm(corners - eye, axis=1, keepdims=True)
    total = 0.0
    for b, c in itertools.pairwise(ways[1:]):
        a = ways[0]
        total += 2 * math.atan2(abs(a @ np.cross(b, c)), 1 + a @ b + b @ c + c @ a)
    return total


PLAIN = {"edge_mm": 60.0, "panel_edge_mm": 90.0, "thickness_mm": 1.0}
TWO = {"points_mm": [[0.0, 0.0, 5.0], [10.0, 0.0, 0.0]]}


def test_an_open_face_has_the_luminance_of_the_walls_and_covers_its_solid_angle():
    strung = scene(OPEN, PLAIN, TWO)
    middle, normal, corners, radiance = opening(strung, FACE)
    # Well off the axis, so that no LED is seen: the eye below looks up at the open face.
    eye = middle + 0.7 * normal / np.linalg.norm(normal)
    for aside in (np.zeros(3), np.array([0.25, -0.2, 0.0])):
        place = eye + aside
        strung = scene(OPEN, PLAIN, TWO, eye_at(place, middle, 24.0))
        view, picture = seen(strung, (240, 180))
        like = np.abs(picture - radiance).max(axis=2) < 1e-4 * radiance.max()
        area = sum(
            pixel_solid_angle(view.camera, x + 0.5, y + 0.5)
            for y, x in zip(*like.nonzero(), strict=True)
        )
        # What the rim's pixels and the two LEDs take is a few per cent.
        assert area == pytest.approx(solid_angle(place, corners), rel=0.06)
        x, y = projected(view.camera, middle[None])[0, 1:]
        assert like[int(y) - 3 : int(y) + 3, int(x) - 3 : int(x) + 3].mean() > 0.4


def posed(strung: Scene, seconds=0.0):
    """Its bodies as they glow, and how they stand."""
    view = EyeView(strung, (16, 12), 64, 4)
    pose = strung.at(seconds=seconds)
    bodies = view.bodies
    luminance = luminance_of([pose], len(bodies.radius))
    return view, bodies._replace(luminance=luminance), stances_of(bodies, pose)


def test_what_an_eye_gets_of_an_open_face_is_luminance_times_solid_angle():
    strung = scene(OPEN, PLAIN, TWO)
    middle, normal, corners, radiance = opening(strung, FACE)
    _, bodies, turn = posed(strung)
    for place in (middle + 0.8 * normal, middle + 0.4 * normal + [0.3, 0.1, 0.2]):
        rows = aperture_sources(bodies, turn, place, openings_of(bodies), 0.01)
        expected = radiance * solid_angle(place, corners)
        assert rows[:, 3:].sum(axis=0) == pytest.approx(expected, rel=3e-3)
        towards = rows[:, :3].mean(axis=0)
        assert towards @ (middle - place) / np.linalg.norm(middle - place) > 0.995
    assert (
        len(aperture_sources(bodies, turn, middle - 0.9 * normal, openings_of(bodies), 0.01)) == 0
    )


DRILLED = {"edge_mm": 70.0, "panel_edge_mm": 80.0, "thickness_mm": 2.0, "hole_mm": 12.0}
ONE = {"led_lumens": 3.0, "led_mm": 2.0, "points_mm": [[0.0, 0.0, 0.0]]}


def flash_at(strung: Scene, place, size=120) -> np.ndarray:
    """Illuminance at a place across the light of the LEDs: (m, 7) float, rows that are not 0."""
    pose = strung.at(seconds=0.0)
    _, bodies, turn = posed(strung)
    inside = lighting_of(strung).cavities[0]
    view = camera(np.array(place, float), inside.centre, math.radians(30), (size, size))
    picture = np.zeros((size, size, 3), np.float32)
    touched = np.zeros((-(-size // 8), -(-size // 8)), bool)
    where = (pose.rotations[0], pose.centres[0], inside.brightness(0.0))
    found = []
    for some, lamps in (inside.reaching(view.at, *where), inside.placed(*where)):
        rows = sources_of(some)
        draw_lens_images(some, lamps, bodies, turn, view, picture, touched, rows)
        found.append(rows[rows[:, 6] > 0.0])
    # Sorting out beams beforehand loses none.
    assert np.array_equal(*found)
    return found[0]


def test_an_led_in_a_hole_is_seen_by_who_is_in_its_beam_and_by_nobody_else():
    strung = scene(CUBE, DRILLED, ONE)
    middle, normal, _, _ = opening(strung, HOLE)
    centre = lighting_of(strung).cavities[0].centre
    candela = 3.0 / (4 * math.pi)
    out = (middle - centre) @ normal  # of the hole's outer end, in the tile's mirror
    side = np.cross(normal, [0.3, 0.5, 0.8])
    side /= np.linalg.norm(side)
    for away in (0.5, 1.3):
        for aside in (0.0, 0.6):
            place = centre + away * normal + aside * 0.006 * away / out * side
            rows = flash_at(strung, place)
            distance = np.linalg.norm(place - centre)
            assert len(rows) == 1
            assert rows[0, 3:6] @ LUMINANCE == pytest.approx(candela / distance**2, rel=1e-3)
            assert rows[0, :3] == pytest.approx((centre - place) / distance, abs=1e-3)
        # The LED's own half width, as the hole throws it, and a little more.
        place = centre + away * normal + (1.1 * 0.006 + 0.001) * away / out * side
        assert len(flash_at(strung, place)) == 0


def test_half_of_an_led_is_seen_from_the_middle_of_its_penumbra():
    strung = scene(CUBE, DRILLED, ONE)
    _, _, corners, _ = opening(strung, HOLE)
    centre = lighting_of(strung).cavities[0].centre
    edge = (corners[0] + corners[1]) / 2
    place = centre + 4.0 * (edge - centre)
    # The hole's edge is a straight line across the middle of the LED.
    value = flash_at(strung, place)[0, 3:6] @ LUMINANCE
    whole = 3.0 / (4 * math.pi) / np.linalg.norm(place - centre) ** 2
    assert value == pytest.approx(whole / 2, rel=0.02)


def test_no_place_is_left_out_by_sorting_beams():
    strung = scene(CUBE, DRILLED | {"seam_mm": 3.0, "corner_cut_mm": 6.0}, {"leds": 6})
    random = np.random.default_rng(5)
    met = 0
    for way in random.normal(size=(40, 3)):
        place = lighting_of(strung).cavities[0].centre + random.uniform(
            0.12, 1.5
        ) * way / np.linalg.norm(way)
        met += len(flash_at(strung, place, 16))
    assert met > 5


def test_the_wall_of_a_hole_hides_the_glow_at_a_slant():
    strung = scene(CUBE, {**DRILLED, "recess_mm": 0.0}, ONE)
    middle, normal, corners, radiance = opening(strung, HOLE)
    view, bodies, turn = posed(strung)
    lamps = lighting_of(strung).lamp_arrays
    along = corners[0] - middle
    along /= np.linalg.norm(along)
    # Through a hole 2 mm deep at 60 degrees what is seen at the outer end lies 2 tan 60 mm on.
    slant = math.radians(60.0)
    way = math.sin(slant) * along - math.cos(slant) * normal
    shift = 0.002 * math.tan(slant)
    for at, expected in ((-0.004, True), (0.0, True), (0.004, False), (-0.0063, False)):
        start = middle + at * along - 0.5 * way
        _, value = gaze_all(bodies, turn, lamps, view.room, start[None], way[None])
        inner = at + shift
        assert expected == (abs(at) < 0.006 and inner < 0.006)
        assert (value[0] == pytest.approx(radiance)) == expected


def test_an_opening_behind_another_ball_or_on_the_far_side_is_not_seen():
    plain = scene(OPEN, PLAIN, TWO)
    middle, normal, _, radiance = opening(plain, FACE)
    eye = eye_at(middle + 1.6 * normal, middle, 30.0)
    bright = 0.5 * radiance.max()
    _, open_view = seen(scene(OPEN, PLAIN, TWO, eye))
    assert open_view.max() >= bright
    centre = lighting_of(plain).cavities[0].centre
    _, behind = seen(scene(OPEN, PLAIN, TWO, eye_at(centre - 1.3 * normal, centre, 30.0)))
    assert behind.max() < bright
    between = middle + 0.75 * normal
    hidden = {
        "shape": {"base": "cuboctahedron"},
        "tile": {"edge_mm": 100.0, "panel_edge_mm": 130.0},
        "motion": STILL,
        "hang": {
            "height_m": float(between[2]),
            "at_m": [float(between[0]), float(between[1])],
        },
    }
    _, picture = seen(scene(OPEN, PLAIN, TWO, eye, [hidden]))
    assert picture.max() < bright


def test_an_opening_in_a_tile_is_where_its_mirror_image_lies():
    mirror = {
        "name": "mirror",
        "shape": CUBE,
        "tile": {"edge_mm": 500.0, "panel_edge_mm": 520.0, "reflectance": 0.8},
        "hang": {"height_m": 2.0, "at_m": [1.2, 0.0], "by": "face"},
        "motion": STILL | {"phase_deg": 45.0},
    }
    tile = DRILLED | {"seam_mm": 3.0, "corner_cut_mm": 6.0}
    strung = scene(CUBE, tile, ONE, eye_at((-0.4, -0.4, 1.9), (1.0, 0.0, 2.0)), [mirror])
    pose = strung.at(seconds=0.0)
    view, bodies, turn = posed(strung)
    eye = view.camera.at
    lit = shining(pose)[0]
    shapes = Polygons(lit.corners, lit.sides)
    polygons = pose.polygons
    mine = np.flatnonzero(polygons.mirror & (polygons.ball == 1))
    tiles = Polygons(polygons.corners[mine], polygons.sides[mine])

    def along(target):
        way = ((target - eye) / np.linalg.norm(target - eye))[None]
        return gaze_all(bodies, turn, lighting_of(strung).lamp_arrays, view.room, eye[None], way)[
            1
        ][0]

    images = []
    for tile_centre, normal in zip(centres(tiles), normals(tiles), strict=True):
        if (eye - tile_centre) @ normal <= 0:
            continue

        def mirrored(point, tile_centre=tile_centre, normal=normal):
            return point - 2 * ((point - tile_centre) @ normal) * normal

        for middle, occluders in zip(centres(shapes), normals(shapes), strict=True):
            image, back = mirrored(middle), mirrored(eye) - middle
            share = ((tile_centre - eye) @ normal) / ((image - eye) @ normal)
            crossing = eye + share * (image - eye)
            if back @ occluders < 0.7 * np.linalg.norm(back):
                continue  # seen from the side, if at all
            if np.linalg.norm(crossing - tile_centre) > 0.24:
                continue  # beside the tile
            assert along(image) == pytest.approx(0.8 * lit.radiance[0], rel=1e-9)
            assert along(image + np.array([0.0, 0.0, 0.1])).max() < 0.1 * lit.radiance[0].max()
            images.append(image)
    assert len(images) >= 2
    _, picture = seen(strung, (800, 600))
    fine = EyeView(strung, (800, 600), 64, 4).camera
    shown = [picture[int(y), int(x)] for _, x, y in projected(fine, np.array(images))]
    assert sum(np.allclose(one, 0.8 * lit.radiance[0], rtol=1e-4) for one in shown) >= 1


def test_a_film_shows_the_still_view_and_a_twinkle_changes_it():
    tile = DRILLED | {"edge_mm": 40.0, "seam_mm": 12.0, "corner_cut_mm": 20.0}
    string = {"leds": 3, "twinkle_s": 4.0}
    strung = scene(CUBE, tile, string, eye_at((0.1, -0.7, 1.8), (0.0, 0.0, 2.0)))
    film = EyeFilm(strung, (160, 120))
    pictures = {}
    for seconds in (0.0, 1.0, 2.0, 3.0, 5.0):
        pose = strung.at(seconds=seconds)
        pictures[seconds] = film.luminance([pose]).copy()
        fresh = EyeFilm(strung, (160, 120))
        fresh.view._glow, fresh.view.room = film.view._glow, film.view.room
        fresh.view.backdrop = film.view.backdrop
        again = fresh.luminance([pose])
        assert np.allclose(pictures[seconds], again, rtol=1e-4, atol=1e-5 * again.max())
    # A raised cosine: two moments half a period apart add up to all LEDs at full.
    inside = lighting_of(strung).cavities[0]
    full = inside.radiance(np.ones(3))
    first, later = pictures[1.0], pictures[3.0]
    at = [inside.radiance(inside.brightness(s)) for s in (1.0, 3.0)]
    assert np.abs(at[0] - at[1]).max() > 0.05 * full.max()
    glowing = np.abs(first - at[0]).max(axis=2) < 1e-4 * full.max()
    assert glowing.sum() > 50
    assert first[glowing] + later[glowing] == pytest.approx(
        np.broadcast_to(full, (glowing.sum(), 3)), rel=1e-3
    )
    assert np.allclose(pictures[5.0], first, rtol=1e-4, atol=1e-5 * first.max())


def test_bodies_know_whose_their_openings_are():
    other = {"name": "plain", "shape": CUBE, "hang": {"height_m": 2.0, "at_m": [1.0, 0.0]}}
    strung = scene(CUBE, DRILLED, ONE, more=[other])
    _, bodies, turn = posed(strung)
    assert (openings_of(bodies)[:, 0] == 0).all() and len(openings_of(bodies)) == 6
    assert bodies.luminance[0].max() > 0.0 and not bodies.luminance[1:].any()
    assert turn.shape == stances(np.zeros((len(bodies.radius), 3, 3)), bodies.centre).shape
    assert NOTHING not in openings_of(bodies)
