"""glint's figures against photons thrown one by one through the geometry that it exports.

The photon tracer shares no code with glint. It is given the GLB file that the real command line
writes, the lamps' candela by their own formulae, and the room's measures; and nothing else.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

import glint
from glint.lighting.energy_balance import audit
from glint.scene.scene import Pose, Scene
from tests.cli.command import printed
from tests.judge import DomeMap, Geometry, Record, SpotRow, Tally, read_glb, spots, trace
from tests.lighting import judged

SCENES = Path(__file__).parents[2] / "scenes"
AT = 10
PHOTONS = 1_000_000

MEASURED = 1000
"""Photons from which on a spot's place and size can be told."""


class Evening(NamedTuple):
    """A scene, and what photons aimed at its balls showed, lamp by lamp."""

    path: Path
    scene: Scene
    pose: Pose
    geometry: Geometry
    tallies: list[Tally]
    spots: list[list[SpotRow]]


@pytest.fixture(scope="module", params=["spiked-twenty", "lantern", "yardstick"])
def evening(request, tmp_path_factory) -> Evening:
    path = SCENES / f"{request.param}.toml"
    folder = tmp_path_factory.mktemp("export")
    printed("export", path, "--at", AT, "-o", "a.glb", cwd=folder)
    geometry = read_glb(folder / "a.glb")
    scene = glint.load(path)
    tallies, seen = [], []
    for number in range(len(scene.lamps)):
        record = Record()
        tally = trace(
            geometry,
            judged.lamp(scene, number),
            judged.room(scene),
            PHOTONS,
            aim=geometry.bounds(),
            reflectance=scene.source.tile.reflectance,
            sinks=[record],
            draws="sobol",
        )
        tallies.append(tally)
        seen.append(spots(record.landed(), judged.room(scene)))
    return Evening(path, scene, scene.at(degrees=AT), geometry, tallies, seen)


def test_tiles_are_exported_in_the_order_of_the_spots_table(evening):
    corners = evening.geometry.triangles[: evening.geometry.mirror_triangles]
    first = np.flatnonzero(np.diff(evening.geometry.tile_of, prepend=-1))
    polygons = evening.pose.polygons
    tiles = polygons.corners[polygons.mirror, 0]
    assert corners[first, 0] == pytest.approx(tiles, abs=1e-6)


def test_lumens_by_fate_and_by_bounce(evening):
    found, _ = glint.beams(evening.pose)
    rows = audit(evening.pose)
    for number, tally in enumerate(evening.tallies):
        mine = found.lamp == number
        lumens = found.lumens[mine]
        total = lumens.sum()
        assert total == pytest.approx(sum(each.lumens for each in tally.landed[1:]), rel=3e-3)
        for k in range(1, 5):
            exact = lumens[found.bounces[mine] == k].sum()
            assert exact == pytest.approx(tally.landed[k].lumens, abs=0.01 * total)
        assert rows[number].absorbed == pytest.approx(tally.absorbed.lumens, rel=3e-3)
        # The slits between the rims of tiles and their panels are open to photons.
        slits = 3e-3 * rows[number].lumens
        assert rows[number].caught == pytest.approx(tally.caught.lumens, rel=1e-2, abs=slits)
        assert rows[number].lumens == pytest.approx(tally.lamp_lumens, rel=1e-4)


def test_every_spot_that_photons_can_measure_has_its_place_its_size_and_its_light(evening):
    listed = glint.spots(evening.pose)
    for number, seen in enumerate(evening.spots):
        name = evening.scene.lamps[number].name
        own = {(row.tiles, row.surface): row for row in listed if row.lamp == name}
        theirs = {(row.chain, row.surface): row for row in seen}
        bright = [key for key, row in theirs.items() if row.photons >= MEASURED]
        assert len(bright) > 0.6 * len(theirs)
        total = sum(row.lumens for row in seen)
        assert sum(theirs[key].lumens for key in bright) > 0.9 * total
        assert sum(row.lumens for key, row in theirs.items() if key not in own) < 1e-4 * total
        assert sum(row.lumens for key, row in own.items() if key not in theirs) < 1e-4 * total
        for key in bright:
            row, spot = theirs[key], own[key]
            # The mean of n photons spread with a deviation of a quarter of the diameter each way
            # is off by that over the root of n; four such deviations on both axes are allowed.
            noise = 1 / np.sqrt(row.photons)
            assert np.linalg.norm(row.position - (spot.x, spot.y, spot.z)) < (
                4 * np.sqrt(2) / 4 * spot.diameter * noise
            )
            # Second moments are sure to about one over the root of n; spots with sharp edges
            # are known to 3 % from the samples that they are measured with.
            assert spot.area == pytest.approx(row.moment_area, rel=0.01 + 2 * noise)
            assert spot.lumens == pytest.approx(row.lumens, rel=2e-3 + 2 * noise)


LIT = 25
"""Photons that a texel must await to be looked at alone: then their number scatters like a bell."""

TEXELS = 128
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""Of linear RGB with the primaries of sRGB (IEC 61966-2-1)."""


class Light(NamedTuple):
    """Illuminance (TEXELS, TEXELS) lx without what is spread evenly, and texel centres, m."""

    lux: np.ndarray
    point: np.ndarray


def saved(path: Path, folder: Path, surface: str) -> Light:
    """What `glint still --data` says of a surface, in texels eight times as coarse."""
    fine = 8 * TEXELS
    printed("still", path, "--at", AT, "--size", fine, "-o", "a.png", "--data", "a.npz", cwd=folder)
    with np.load(folder / "a.npz") as arrays:
        on = arrays[f"{surface}_area"][..., None] > 0
        direct = (arrays[f"{surface}_lux"] - arrays[f"{surface}_ambient"] * on).astype(float)
        point = arrays[f"{surface}_point"].astype(float)
    blocks = (direct @ LUMINANCE).reshape(TEXELS, 8, TEXELS, 8)
    middle = point.reshape(TEXELS, 8, TEXELS, 8, 3)[:, 3:5, :, 3:5].mean(axis=(1, 3))
    return Light(blocks.mean(axis=(1, 3)), middle)


def straight(lamp, room, point) -> np.ndarray:
    """What a lamp would throw straight onto the dome, were no ball there: I cos / d**2, lx."""
    way = point - np.array(lamp.position)
    distance = np.linalg.norm(way, axis=2)
    axis = np.array(lamp.axis) / np.linalg.norm(lamp.axis)
    gamma = np.arccos(np.clip(way @ axis / distance, -1, 1))
    outward = (point - (0, 0, room.sphere_height)) / room.sphere_radius
    cosine = np.einsum("ijk,ijk->ij", outward, way) / distance
    return np.where(gamma < lamp.reach, lamp.candela(gamma), 0.0) * cosine / distance**2


def test_the_light_map_is_that_of_photons_with_the_shadows_in_the_spill(evening, tmp_path):
    scene, room = evening.scene, judged.room(evening.scene)
    own = saved(evening.path, tmp_path, "dome")
    lamps = [judged.lamp(scene, number) for number in range(len(scene.lamps))]
    seen: list[np.ndarray] = []
    # Of each texel: the variance that the photons of all lamps, counted one by one, would have.
    sinks = [DomeMap(room, TEXELS, least=0) for _ in lamps]
    for seed, photons in enumerate((500_000, 1_500_000)):
        variance = np.zeros((TEXELS, TEXELS))
        for lamp, sink in zip(lamps, sinks, strict=True):
            tally = trace(
                evening.geometry,
                lamp,
                room,
                photons,
                reflectance=scene.source.tile.reflectance,
                sinks=[sink],
                seed=seed,
            )
            one = tally.lamp_lumens / (sink.photons * sink.texel_area)
            variance += sink.lux() * one
        seen.append(sum(sink.lux() for sink in sinks))
    # The lux that one photon of the strongest lamp brings to a texel, at the end.
    least = LIT * max(lamp.source().lumens for lamp in lamps) / (2_000_000 * sinks[0].texel_area)
    lit = own.lux > least
    assert own.lux[lit].sum() > 0.95 * own.lux.sum()
    few, many = (np.sqrt(np.mean((lux[lit] / own.lux[lit] - 1) ** 2)) for lux in seen)
    # Four times the photons, half the noise.
    assert many / few == pytest.approx(0.5, abs=0.06)
    # As far off as chance has it: light that met mirrors comes in smaller lumps, so a little less.
    square = np.mean((seen[1][lit] - own.lux[lit]) ** 2 / np.maximum(variance[lit], least / LIT))
    assert 0.7 < square < 1.25
    dark = (seen[1][~lit].sum() - own.lux[~lit].sum()) / own.lux.sum()
    assert abs(dark) < 1e-3
    # Where the lamps' light would be but for the balls, there is next to none for both.
    open_air = sum(straight(lamp, room, own.point) for lamp in lamps)
    shadow = (open_air > 2 * least) & (own.lux < 0.3 * open_air)
    assert shadow.sum() >= 3
    assert seen[1][shadow].sum() < 0.35 * open_air[shadow].sum()
    assert seen[1].sum() == pytest.approx(own.lux.sum(), rel=3e-3)
