"""Chains of mirrors against the laws of reflection and closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from glint.kernels.beams.trace import trace
from glint.kernels.geometry.occluder_lists import occluder_lists
from tests.kernels.setups import plates, round_lamp


def run(polygons, lamps, **options):
    return trace(
        polygons,
        occluder_lists(polygons, np.zeros(polygons.ball.max() + 1, np.bool_)),
        lamps,
        **options,
    )


def test_one_mirror_images_the_lens_behind_itself():
    # A flat mirror's image lies as far behind it as the source stands before it (Hecht, Optics).
    beams, fates = run(plates([((0, 0, 2), (0, 0, -1), 0.1)]), round_lamp((0.5, 0, 0), (0, 0, 2)))
    assert len(beams.lamp) == 1
    assert beams.apex[0] == pytest.approx([0.5, 0.0, 4.0])
    assert fates.reached[0, 1] == pytest.approx(beams.lumens[0])


def test_a_mirror_turned_by_an_angle_turns_the_beam_by_twice_that():
    # Hecht, Optics, section 5.4.
    lamps = round_lamp((0, 0, 0), (0, 0, 2), lens_radius=0.0)
    turn = 0.2
    middle = []
    for angle in (0.0, turn):
        normal = (np.sin(angle), 0.0, -np.cos(angle))
        beams, _ = run(plates([((0, 0, 2), normal, 0.01)]), lamps)
        direction = np.array([0, 0, 2.0]) - beams.apex[0]
        middle.append(direction / np.linalg.norm(direction))
    assert np.arccos(middle[0] @ middle[1]) == pytest.approx(2 * turn, abs=1e-9)


def test_two_facing_mirrors_lose_their_share_at_every_bounce():
    # Light enters slantwise between two parallel mirrors; every bounce leaves rho of what came.
    pair = plates([((0, 0, 0), (0, 0, 1), 2.0), ((0, 0, 0.5), (0, 0, -1), 2.0)], reflectance=0.8)
    lamps = round_lamp((-1.2, 0, 0.25), (-0.8, 0, 0.0), lens_radius=0.001, beam=0.02)
    beams, fates = run(pair, lamps, bounces=4)
    sent = lamps.lumens[0]
    assert fates.reached[0, 1:4] == pytest.approx([sent, 0.8 * sent, 0.64 * sent], rel=2e-3)
    # The fourth place lies beyond the mirrors' edge: after three, the light is free.
    assert beams.lumens[beams.bounces == 3].sum() == pytest.approx(sent * 0.8**3, rel=2e-3)
    _, short = run(pair, lamps, bounces=2)
    assert short.cut_off[0, 2] == pytest.approx(sent * 0.8**2, rel=2e-3)


def test_three_square_mirrors_send_light_back_where_it_came_from():
    # A corner of three mirrors turns any direction round after three bounces; the lens is imaged
    # through the corner's point (Born & Wolf, section 4.2: the product of three reflections).
    corner = plates(
        [((1, 1, 0), (0, 0, 1), 2.0), ((1, 0, 1), (0, 1, 0), 2.0), ((0, 1, 1), (1, 0, 0), 2.0)]
    )
    beams, _ = run(corner, round_lamp((3.0, 2.5, 2.8), (0.6, 0.5, 0.55), beam=0.01))
    thrice = beams.bounces == 3
    assert thrice.any()
    assert beams.apex[thrice] == pytest.approx(
        np.broadcast_to([-3.0, -2.5, -2.8], beams.apex[thrice].shape), abs=1e-9
    )
    assert beams.lumens[thrice].sum() == pytest.approx(beams.lumens.sum(), rel=1e-6)


def test_a_panel_in_front_takes_what_its_shadow_covers():
    # A plate of side 0.05 half-way shades 0.1 of a mirror of side 0.2 (similar triangles): a
    # quarter of its area, and, the lamp being far and even, a quarter of its light.
    lamps = round_lamp((0, 0, -8), (0, 0, 2), lens_radius=0.0, beam=1.0)
    mirror, panel = ((0, 0, 2), (0, 0, -1), 0.2), ((0, 0, -3), (0, 0, -1), 0.05)
    _, open_ = run(plates([mirror]), lamps)
    _, shaded = run(plates([mirror, panel], mirror=[True, False]), lamps)
    assert shaded.reached[0, 1] / open_.reached[0, 1] == pytest.approx(0.75, abs=1e-4)
    # The mirror sends its light straight back: the panel, seen from the image of the lens, is
    # smaller than the unlit middle, so nothing more is caught.
    assert shaded.caught.sum() == pytest.approx(0.0, abs=1e-9)


def random_crowd(seed: int, number: int):
    """Mirrors and panels strewn about a point: shadows and chains of every kind."""
    random = np.random.default_rng(seed)
    squares = [
        (random.uniform(-0.2, 0.2, 3) + np.array([0, 0, 2]), random.normal(size=3), 0.12)
        for _ in range(number)
    ]
    return plates(squares, mirror=np.arange(number) % 3 != 0, reflectance=0.9)


@pytest.mark.parametrize("seed", range(5))
def test_light_is_neither_made_nor_lost(seed):
    lamps = round_lamp((2, 0, 1.5), (0, 0, 2))
    beams, fates = run(random_crowd(seed, 14), lamps, bounces=3, floor=0.0)
    gone = beams.lumens.sum() + fates.absorbed.sum() + fates.caught.sum() + fates.cut_off.sum()
    assert gone == pytest.approx(fates.reached[0, 1], rel=1e-9)
    assert (fates.caught > -1e-4 * fates.reached[0, 1]).all()


def traced_by_hand(polygons, lamps, rays, bounces, seed):
    """Lumens by bounce of rays from the lens centre, each followed through all polygons."""
    random = np.random.default_rng(seed)
    lens = lamps.position[0]
    middle = polygons.corners.mean(axis=(0, 1))
    axis = middle - lens
    distance = np.linalg.norm(axis)
    frame = np.linalg.svd(axis[None])[2]
    half = np.arctan(0.4 / distance)
    cosine = 1 - random.random(rays) * (1 - np.cos(half))
    phi = random.random(rays) * 2 * np.pi
    sine = np.sqrt(1 - cosine**2)
    direction = (
        cosine[:, None] * axis / distance
        + (sine * np.cos(phi))[:, None] * frame[1]
        + (sine * np.sin(phi))[:, None] * frame[2]
    )
    gamma = np.arccos(np.clip(direction @ lamps.frame[0, 2], -1, 1))
    columns = np.sin(gamma / 2) / lamps.sine_end[0] * 2047
    weight = np.interp(columns, np.arange(2048), lamps.candela[0, 0], right=0.0)
    weight *= 2 * np.pi * (1 - np.cos(half)) / rays
    origin = np.broadcast_to(lens, direction.shape).copy()
    landed = np.zeros(bounces + 1)
    alive = np.ones(rays, bool)
    for k in range(bounces + 1):
        nearest, hit = np.full(rays, np.inf), np.full(rays, -1)
        for j, corners in enumerate(polygons.corners):
            normal = polygons.normals[j]
            along = direction @ normal
            t = ((corners[0] - origin) @ normal) / along
            place = origin + t[:, None] * direction
            inside = np.ones(rays, bool)
            for c in range(4):
                edge = corners[(c + 1) % 4] - corners[c]
                inside &= np.cross(edge, place - corners[c]) @ normal >= 0
            better = alive & inside & (t > 1e-9) & (t < nearest)
            nearest[better], hit[better] = t[better], j
        landed[k] = weight[alive & (hit < 0)].sum()
        front = np.einsum("ij,ij->i", direction, polygons.normals[hit]) < 0
        alive &= (hit >= 0) & polygons.mirror[hit] & front
        origin[alive] += nearest[alive, None] * direction[alive]
        normal = polygons.normals[hit]
        twice = 2 * np.einsum("ij,ij->i", direction, normal)[:, None] * normal
        direction = np.where(alive[:, None], direction - twice, direction)
        weight = np.where(alive, weight * polygons.reflectance[hit], weight)
    return landed


@pytest.mark.parametrize("seed", [1, 2])
def test_lumens_by_bounce_agree_with_rays_followed_one_by_one(seed):
    crowd = random_crowd(seed, 14)
    lamps = round_lamp((2, 0, 1.5), (0, 0, 2), lens_radius=0.0, beam=0.5)
    beams, fates = run(crowd, lamps, bounces=3, floor=0.0)
    landed = traced_by_hand(crowd, lamps, 600_000, 3, seed)
    for k in (1, 2, 3):
        exact = beams.lumens[beams.bounces == k].sum()
        assert exact == pytest.approx(landed[k], abs=0.01 * fates.reached[0, 1])
