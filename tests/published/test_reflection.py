"""Mirrors and lamps over glint's whole path, from the scene to the light, against textbook laws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.rig.light import beams, light
from glint.rig.scene import Scene, build
from glint.scene.read import scene_of

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear RGB (IEC 61966-2-1)


def evening(ball: dict, lamp: dict, radius: float = 5.0, **tile: float) -> Scene:
    tables = {"room": {"radius_m": radius}, "tile": tile, "ball": [ball], "lamp": [lamp]}
    return build(scene_of(tables))


def cube(angle: float, lamp: dict) -> Scene:
    """A cube whose sides are level with the lamp, turned by an angle, degrees."""
    shape = {"base": "cube"}
    hang = {"height_m": 2.0, "by": "face"}
    return evening({"shape": shape, "hang": hang, "motion": {"phase_deg": angle}}, lamp)


def test_a_mirror_turned_by_an_angle_turns_its_beam_by_twice_that():
    # Hecht, Optics (4th ed.), section 5.4, from memory: a mirror that turns by a turns the
    # reflected ray by 2a.
    lamp = {"at_m": [4.0, 0.0, 2.0], "lens_mm": 2.0}

    def beam_of(angle: float) -> np.ndarray:
        scene = cube(angle, lamp)
        found, _ = beams(scene.at(degrees=0.0))
        # Seen from beside an edge of the cube both sides shine: follow one by its tile.
        tile = np.argmax(scene.at(degrees=0.0).polygons.normals[:, 0] > math.cos(math.radians(44)))
        (row,) = np.flatnonzero(found.chain[:, 0] == tile)
        way = found.window[row, : found.sides[row]].mean(axis=0) - found.apex[row]
        return way / np.linalg.norm(way)

    # Which angle has a side square to the lamp depends on how the cube hangs: look at two.
    first = cube(0.0, lamp).at(degrees=0.0).polygons
    side = first.normals[np.argmax(first.normals[:, 0])]
    square = -math.degrees(math.atan2(side[1], side[0]))
    # The lamp looks at the tile's middle, which a turn about the cube's axis carries along; with
    # the lamp four metres away that leans the ray by less than a hundredth of what is turned.
    for turn in (5.0, 15.0, 25.0):
        away = math.degrees(math.acos(beam_of(square) @ beam_of(square + turn)))
        assert away == pytest.approx(2 * turn, rel=0.02)


def test_the_floor_under_a_lamp_has_the_inverse_square_and_the_cosine():
    # IES Lighting Handbook, from memory: E = I cos(theta) / d**2. A beam as wide as this has
    # 20,000 cd on its axis and half of that at 20 degrees.
    for height, lean in ((2.0, 0.0), (4.0, 0.0), (2.0, 30.0), (3.0, 45.0)):
        foot = height * math.tan(math.radians(lean))
        ball = {"shape": {"base": "cube"}, "hang": {"height_m": 0.5, "at_m": [-3.0, 0.0]}}
        lamp = {
            "at_m": [0.0, 0.0, height],
            "aim": [foot, 0.0, 0.0],
            "beam_deg": 10.0,
            "lens_mm": 10.0,
        }
        floor = light(evening(ball, lamp).at(degrees=0.0), 500)["floor"]
        away = np.linalg.norm(floor.point - (foot, 0.0, 0.0), axis=2)
        nearest = np.unravel_index(np.argmin(away), away.shape)
        way = floor.point[nearest] - (0.0, 0.0, height)
        distance = np.linalg.norm(way)
        axis = np.array([foot, 0.0, -height])
        gamma = math.acos(min(way @ axis / distance / np.linalg.norm(axis), 1.0))
        # Within a degree of the axis a beam of this shape loses less than a per cent.
        assert gamma < math.radians(1.0)
        expected = 20000.0 * (height / distance) / distance**2
        assert floor.lux[nearest] @ LUMINANCE == pytest.approx(expected, rel=0.012)


def test_a_ball_of_small_tiles_scatters_evenly_over_all_directions():
    # Van de Hulst, Light Scattering by Small Particles (1957), chapter 12, from memory: a large
    # polished sphere sends a parallel beam alike into every direction. Of N tiles half face the
    # lamp, over a sphere of 4 pi steradians: N / (8 pi) spots a steradian.
    ball = {
        "shape": {"base": "rings", "diameter_m": 1.0},
        "hang": {"height_m": 30.0},
        "motion": {"phase_deg": 11.0},
    }
    lamp = {"at_m": [95.0, 0.0, 30.0], "beam_deg": 5.0, "lens_mm": 1.0}
    scene = evening(ball, lamp, 100.0, edge_mm=20.0)
    found, _ = beams(scene.at(degrees=0.0))
    tiles = len(scene.balls[0].body.tile_sides)
    corners = np.arange(found.window.shape[1])[None, :, None] < found.sides[:, None, None]
    middle = (found.window * corners).sum(axis=1) / found.sides[:, None]
    way = middle - found.apex
    way /= np.linalg.norm(way, axis=1)[:, None]
    # One beam a tile: a few tiles lose a sliver to a neighbour's shadow and count once.
    _, once = np.unique(found.chain[:, 0], return_index=True)
    way = way[once]
    # Back to the lamp is +1. Tiles met at more than 75 degrees, whose light goes on within 30
    # degrees of where it went, lie on the rim, where some are missing at the poles: left out.
    bands, sectors = 4, 6
    edges = np.linspace(-math.cos(math.radians(30.0)), 1.0, bands + 1)
    band = np.digitize(way[:, 0], edges[1:-1])
    sector = np.floor(np.arctan2(way[:, 2], way[:, 1]) / (2 * math.pi) * sectors).astype(int)
    kept = way[:, 0] > edges[0]
    counts = np.bincount(band[kept] * sectors + sector[kept] % sectors, minlength=bands * sectors)
    steradians = 2 * math.pi * (edges[1] - edges[0]) / sectors
    expected = tiles / (8 * math.pi) * steradians
    assert expected > 100
    # Tiles in rows are more even than ones strewn at random, whose number would scatter by its
    # square root; three of these are allowed, and the mean of all must be right to one per cent.
    assert np.abs(counts - expected).max() < 3 * math.sqrt(expected)
    assert counts.mean() == pytest.approx(expected, rel=0.01)
