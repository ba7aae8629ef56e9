"""Mirrors and lamps over glint's whole path, from the scene to the light, against textbook laws."""

from __future__ import annotations

import math

import numpy as np
import pytest

from glint.lighting.illumination import beams, light
from glint.scene.build import build
from glint.scene.scene import Scene
from glint.schema.read import scene_of

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
    # polished sphere sends the light of a parallel beam alike into every direction. Of N tiles half
    # face the lamp and their beams go all round: N / (8 pi) spots a steradian in the mean. It is
    # the light that is even: a tile met at an angle i takes cos(i) as much, and N / (16 pi cos(i))
    # spots a steradian go where its light goes, 2i from the way back.
    ball = {
        "shape": {"base": "rings", "diameter_m": 1.0},
        "hang": {"height_m": 30.0},
        "motion": {"phase_deg": 11.0},
    }
    lamp = {"at_m": [95.0, 0.0, 30.0], "beam_deg": 20.0, "lens_mm": 1.0}
    scene = evening(ball, lamp, 100.0, edge_mm=20.0)
    found, _ = beams(scene.at(degrees=0.0))
    tiles = len(scene.balls[0].body.tile_sides)
    corners = np.arange(found.window.shape[1])[None, :, None] < found.sides[:, None, None]
    middle = (found.window * corners).sum(axis=1) / found.sides[:, None]
    way = middle - found.apex
    way /= np.linalg.norm(way, axis=1)[:, None]
    # A tile that a neighbour's shadow cuts in two counts once.
    lit, first = np.unique(found.chain[:, 0], return_index=True)
    assert len(lit) / (4 * math.pi) == pytest.approx(tiles / (8 * math.pi), rel=0.02)

    # Back to the lamp is +1. What goes on within 30 degrees of where it went comes from the rim,
    # where tiles are missing at the poles and shade each other: left out.
    bands, sectors = 4, 6
    edges = np.linspace(-math.cos(math.radians(30.0)), 1.0, bands + 1)
    kept = way[:, 0] > edges[0]
    band = np.digitize(way[kept, 0], edges[1:-1])
    turn = np.arctan2(way[kept, 2], way[kept, 1]) / (2 * math.pi)
    place = band * sectors + np.floor(turn * sectors).astype(int) % sectors
    once = np.zeros(len(way), bool)
    once[first] = True
    counts = np.bincount(place, once[kept], bands * sectors).reshape(bands, sectors)
    lumens = np.bincount(place, found.lumens[kept], bands * sectors).reshape(bands, sectors)
    cosine = np.sqrt((1 + edges) / 2)
    expected = tiles / 2 / sectors * np.diff(cosine)[:, None]
    assert expected.min() > 50
    # Tiles in rows are more even than ones strewn at random, whose number would scatter by its
    # square root; three of these are allowed for every bin, and one for a whole band.
    assert (np.abs(counts - expected) < 3 * np.sqrt(expected)).all()
    assert (np.abs((counts - expected).sum(axis=1)) < np.sqrt(sectors * expected[:, 0])).all()
    # The light: what falls on a disc of the ball's size, less the gaps, is shared out evenly.
    even = lumens.sum() / lumens.size
    assert (np.abs(lumens / even - 1) < 3 / np.sqrt(expected)).all()
    assert lumens.sum(axis=1) / sectors == pytest.approx(np.full(bands, even), rel=0.02)
    area = tiles * 0.02**2 / 4  # seen from afar: half the tiles, at half their size in the mean
    reflected = 20000.0 / 95.0**2 * area * scene.source.tile.reflectance
    assert even * lumens.size == pytest.approx(reflected * (1 - edges[0]) / 2, rel=0.02)
