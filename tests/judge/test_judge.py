"""The judge against closed forms. Nothing here comes from the package it is to judge."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from tests.judge import (
    DomeMap,
    FloorMap,
    Geometry,
    Lamp,
    Record,
    Room,
    Target,
    photons_for_rms,
    read_glb,
    rms_error,
    spots,
    trace,
)

ROOM = Room(radius=4.0, rise=4.0)


def glb(path: Path, tiles: Iterable[np.ndarray], panels: Iterable[np.ndarray] = ()) -> Geometry:
    """Writes polygons (s, 3), anticlockwise from the bright side, as a GLB and reads it back."""
    scene = trimesh.Scene()
    for name, polygons in (("mirrors", list(tiles)), ("panels", list(panels))):
        if polygons:
            starts = np.cumsum([0, *(len(polygon) for polygon in polygons)])
            faces = [
                (start, start + corner, start + corner + 1)
                for start, polygon in zip(starts, polygons, strict=False)
                for corner in range(1, len(polygon) - 1)
            ]
            mesh = trimesh.Trimesh(np.concatenate(polygons), faces, process=False)
            scene.add_geometry(mesh, node_name=name, geom_name=name)
    scene.export(path / "judge.glb")
    return read_glb(path / "judge.glb")


def square(centre: np.ndarray, normal: np.ndarray, half: float) -> np.ndarray:
    """Corners (4, 3) of a square, anticlockwise seen from where its normal points."""
    normal = np.asarray(normal, float) / np.linalg.norm(normal)
    first = np.cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    first /= np.linalg.norm(first)
    second = np.cross(normal, first)
    signs = [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    return np.array([centre + half * (x * first + y * second) for x, y in signs])


def beam(half_angle: float, candela: float = 1000.0):
    """A beam of even candela, dark beyond half_angle, as keywords for Lamp."""
    return {"candela": lambda gamma: np.full_like(gamma, candela), "reach": half_angle}


def speck(path: Path) -> Geometry:
    """A mirror too small and far away to matter."""
    return glb(path, [square(np.array([0, 0, 3.9]), np.array([0, 0, 1.0]), 1e-6)])


def within(estimate, expected: float, sigmas: float = 4.5) -> bool:
    return abs(estimate.lumens - expected) <= sigmas * estimate.error + 1e-6 * expected


# ---------------------------------------------------------------- lamps


@pytest.mark.parametrize("power", [0, 1, 7.5, 400])
def test_lumens_of_a_cosine_power_lamp(tmp_path, power):
    # The integral of cos^m over the half space is 2 pi / (m + 1).
    lamp = Lamp((0, 0, 2), (0.3, 0.2, -1), 0.01, lambda gamma: 50 * np.cos(gamma).clip(0) ** power)
    tally = trace(speck(tmp_path), lamp, ROOM, 100_000)
    expected = 2 * np.pi * 50 / (power + 1)
    assert tally.lamp_lumens == pytest.approx(expected, rel=1e-5)
    assert within(tally.traced, expected)
    assert within(tally.landed[0], expected)


def test_lumens_and_sides_of_a_lamp_uneven_in_azimuth(tmp_path):
    # I = I0 cos(gamma) (1 + cos(azimuth - u)): pi I0 in all. The integral of 1 + cos from -90 to
    # 90 degrees about u is pi + 2 of 2 pi; about an azimuth v off u it is pi + 2 cos v.
    def candela(gamma, azimuth):
        return 50 * np.cos(gamma) * (1 + np.cos(azimuth - 0.7))

    lamp = Lamp((0, 0, 2), (0, 0, -1), 0.01, candela, azimuthal=True, across=(1, 0, 0))
    record = Record(least=0)
    tally = trace(speck(tmp_path), lamp, ROOM, 200_000, sinks=[record])
    assert tally.lamp_lumens == pytest.approx(np.pi * 50, rel=1e-4)
    landed = record.landed()
    # Pointing down with azimuth 0 at +x, azimuth 90 degrees is at -y.
    right, front = landed.position[:, 0] > 0, landed.position[:, 1] < 0
    for side, cosine in ((right, np.cos(0.7)), (front, np.sin(0.7))):
        expected = np.pi * 50 * (0.5 + cosine / np.pi)
        assert landed.lumens[side].sum() == pytest.approx(expected, rel=0.01)


def test_photons_leave_evenly_from_the_disc(tmp_path):
    # Sent straight down by a beam of no width, they draw the disc on the floor: the mean square
    # distance from the middle of a disc is r^2 / 2.
    lamp = Lamp((0.5, -0.25, 2), (0, 0, -1), 0.2, **beam(1e-5))
    record = Record(least=0)
    trace(speck(tmp_path), lamp, ROOM, 100_000, sinks=[record])
    landed = record.landed()
    away = landed.position[:, :2] - [0.5, -0.25]
    squared = np.square(away).sum(1)
    assert np.sqrt(squared.max()) == pytest.approx(0.2, abs=1e-4)
    assert squared.mean() == pytest.approx(0.2**2 / 2, rel=0.01)
    assert np.abs(away.mean(0)).max() < 0.002


def test_inverse_square_and_cosine_law_on_the_floor(tmp_path):
    # E = I cos(theta) / d^2: inverse-square and cosine law (IES Lighting Handbook).
    height, place = 2.5, np.array([0.6, -0.4])

    def candela(gamma):
        return 800 * np.exp(-((gamma / 0.6) ** 2))

    axis = np.array([0.5, 0.2, -1.0])
    lamp = Lamp((*place, height), tuple(axis), 1e-4, candela)
    floor = FloorMap(ROOM, 40, least=0)
    trace(speck(tmp_path), lamp, ROOM, 2_000_000, sinks=[floor])
    lux = floor.lux()
    # Four points a texel side: the mean over the texel, not the value at its middle.
    steps = (np.arange(160) + 0.5) / 160 * 8 - 4
    x, y = np.meshgrid(steps, -steps)
    ray = np.stack([x - place[0], y - place[1], np.full_like(x, -height)])
    distance = np.linalg.norm(ray, axis=0)
    gamma = np.arccos(np.einsum("i,ixy->xy", axis / np.linalg.norm(axis), ray) / distance)
    exact = candela(gamma) * (height / distance) / distance**2
    exact = exact.reshape(40, 4, 40, 4).mean((1, 3))
    middles = steps.reshape(40, 4).mean(1)
    inside = np.hypot(*np.meshgrid(middles, -middles)) < 3.8
    # 2 million photons at most 5,000 on a texel: a few percent of noise, and no more.
    assert rms_error(np.where(inside, lux, 0), np.where(inside, exact, 0), lit=0.1) < 0.03
    assert lux[inside].sum() == pytest.approx(exact[inside].sum(), rel=0.003)


# ---------------------------------------------------------------- one mirror


def mirrored_middle(path: Path, turn: float) -> np.ndarray:
    """Where a thin level beam along +x goes from a mirror at 45 degrees turned `turn` on, so that
    its normal leans further from -x past +z to +x."""
    angle = np.pi / 4 + turn
    normal = np.array([-np.cos(angle), 0, np.sin(angle)])
    mirror = square(np.array([0, 0, 1.0]), normal, 0.2)
    geometry = glb(path, [mirror])
    lamp = Lamp((-2, 0, 1), (1, 0, 0), 0.002, **beam(0.001))
    record = Record()
    tally = trace(geometry, lamp, ROOM, 4000, sinks=[record])
    assert tally.landed[1].lumens == pytest.approx(0.86 * tally.lamp_lumens)
    landed = record.landed()
    assert np.all(landed.last_tile == 0)
    return np.average(landed.direction, axis=0, weights=landed.lumens)


def test_a_mirror_at_45_degrees_sends_a_level_beam_up(tmp_path):
    assert mirrored_middle(tmp_path, 0.0) == pytest.approx([0, 0, 1], abs=2e-5)


@pytest.mark.parametrize("turn", [-0.3, 0.05, 0.4])
def test_mirror_turned_by_a_turns_the_beam_by_2a(tmp_path, turn):
    # Hecht, Optics: rotating a plane mirror by a turns the reflected ray by 2a.
    direction = mirrored_middle(tmp_path, turn)
    assert np.arctan2(direction[0], direction[2]) == pytest.approx(2 * turn, abs=3e-5)


def test_one_mirror_lights_what_its_image_of_the_lamp_would(tmp_path):
    # A tile seen from a tiny lamp: flux = rho I omega, omega of its two triangles by Van Oosterom &
    # Strackee (1983), tan(omega/2) = |abc| / (1 + ab + bc + ca) of unit vectors; its light ends
    # where lines from the mirrored lamp through the tile meet the floor.
    lens = np.array([0.3, 0.1, 1.0])
    tile = square(np.array([0, 0, 2.2]), np.array([0.2, 0.1, -1]), 0.05)
    lamp = Lamp(tuple(lens), tuple(tile.mean(0) - lens), 1e-5, **beam(0.5, 300.0))
    geometry = glb(tmp_path, [tile])
    record = Record()
    tally = trace(geometry, lamp, ROOM, 400_000, aim=geometry.bounds(), sinks=[record])

    omega = 0.0
    for corners in (tile[[0, 1, 2]], tile[[0, 2, 3]]):
        a, b, c = (corners - lens) / np.linalg.norm(corners - lens, axis=1)[:, None]
        omega += 2 * np.arctan2(abs(np.dot(a, np.cross(b, c))), 1 + a @ b + b @ c + c @ a)
    assert within(tally.landed[1], 0.86 * 300 * omega)

    normal = np.cross(tile[1] - tile[0], tile[2] - tile[0])
    normal /= np.linalg.norm(normal)
    image = lens - 2 * normal * (normal @ (lens - tile[0]))
    path = tile - image
    shadow = (image - path * (image[2] / path[:, 2])[:, None])[:, :2]
    x, y = shadow.T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    (row,) = spots(record.landed(), ROOM)
    assert row.chain == (0,)
    assert row.surface == "floor"
    assert abs(row.lumens - 0.86 * 300 * omega) < 4.5 * row.error
    # The light is nearly even over the spot: its middle lies within 1 mm of the corners' mean.
    assert row.position[:2] == pytest.approx(shadow.mean(0), abs=1e-3)
    assert row.even_area == pytest.approx(area, rel=0.005)
    assert row.lit_area == pytest.approx(area, rel=0.02)


def test_backs_and_panels_catch_light(tmp_path):
    toward, away = np.array([-1.0, 0, 0]), np.array([1.0, 0, 0])
    left = [square(np.array([0, 0.5, 1]), toward, 0.2), square(np.array([0, 0, 1.0]), away, 0.2)]
    geometry = glb(tmp_path, left, [square(np.array([0, -0.5, 1]), toward, 0.2)])
    assert geometry.tiles == 2
    for y, fate in ((0.0, "backs"), (-0.5, "panels")):
        lamp = Lamp((-2, y, 1), (1, 0, 0), 0.01, **beam(0.01))
        tally = trace(geometry, lamp, ROOM, 2000)
        assert getattr(tally, fate).lumens == pytest.approx(tally.lamp_lumens, rel=1e-5)
        assert tally.caught.lumens == getattr(tally, fate).lumens
        assert tally.landed[0].lumens == 0


# ---------------------------------------------------------------- many mirrors


def test_polished_sphere_scatters_evenly(tmp_path):
    # van de Hulst, Light Scattering by Small Particles: a large sphere that reflects all light
    # scatters a parallel beam alike in all directions.
    middle = np.array([0, 0, 20.0])
    sphere = trimesh.creation.icosphere(5, 0.1)
    geometry = glb(tmp_path, sphere.triangles + middle)
    axis = np.array([0.3, -0.5, 0.2])
    axis /= np.linalg.norm(axis)
    lamp = Lamp(tuple(middle - 100 * axis), tuple(axis), 0.01, **beam(0.01))
    record, aim = Record(), geometry.bounds()
    tally = trace(geometry, lamp, Room(200, 200), 400_000, aim=aim, reflectance=1.0, sinks=[record])
    # Nothing falls back on a sphere, but for a few grazing hits: 32-bit rays 100 m long are not
    # sharper than 0.01 mm.
    assert tally.caught.lumens + tally.landed[2].lumens < 1e-4 * tally.traced.lumens
    landed = record.landed()
    helper = np.cross(axis, [0, 0, 1])
    helper /= np.linalg.norm(helper)
    frame = np.array([helper, np.cross(axis, helper), axis])
    along = landed.direction @ frame.T
    share = landed.lumens / landed.lumens.sum()
    height = np.histogram(along[:, 2], 20, (-1, 1), weights=share)[0]
    around = np.histogram(np.arctan2(along[:, 1], along[:, 0]), 20, weights=share)[0]
    # 20,480 flat facets stand for the sphere: a bin of a twentieth holds about 500 that are seen.
    assert height * 20 == pytest.approx(np.ones(20), abs=0.04)
    assert around * 20 == pytest.approx(np.ones(20), abs=0.04)
    assert share @ along == pytest.approx(np.zeros(3), abs=0.005)


def facing_mirrors(path: Path) -> tuple[Geometry, Lamp]:
    """Two mirrors 0.1 m apart: a thin beam at 45 degrees meets them five times and leaves."""
    low = square(np.array([0, 0, 1.0]), np.array([0, 0, 1.0]), 0.5)
    high = square(np.array([0.0, 0, 1.1]), np.array([0, 0, -1.0]), 0.5)
    # Meets the lower one at x = 0.08, 0.28, 0.48 m and the upper one at 0.18, 0.38; 0.58 is past.
    lamp = Lamp((0.03, 0, 1.05), (1, 0, -1), 0.001, **beam(0.001))
    return glb(path, [low, high]), lamp


def test_facing_mirrors_take_their_share_each_time(tmp_path):
    geometry, lamp = facing_mirrors(tmp_path)
    for bounces in range(6):
        record = Record()
        tally = trace(geometry, lamp, ROOM, 1000, bounces=bounces, reflectance=0.9, sinks=[record])
        given = tally.lamp_lumens
        assert tally.absorbed.lumens == pytest.approx(given * (1 - 0.9**bounces), rel=1e-4)
        last = tally.landed[5] if bounces == 5 else tally.cut_off
        assert last.lumens == pytest.approx(given * 0.9**bounces, rel=1e-4)
    assert tally.cut_off.lumens == 0
    (row,) = spots(record.landed(), ROOM)
    assert row.chain == (0, 1, 0, 1, 0)


def test_each_tile_has_its_own_reflectance(tmp_path):
    geometry, lamp = facing_mirrors(tmp_path)
    tally = trace(geometry, lamp, ROOM, 1000, bounces=5, reflectance=np.array([0.9, 0.5]))
    assert tally.landed[5].lumens == pytest.approx(tally.lamp_lumens * 0.9**3 * 0.5**2, rel=1e-4)


def test_corner_cube_sends_light_back_after_three_mirrors(tmp_path):
    turn = trimesh.transformations.euler_matrix(0.3, 0.7, 0.2)[:3, :3]
    corner = np.array([0.5, -0.2, 1.5])
    tiles = []
    for axis in range(3):
        first, second = np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3]
        local = np.array([0 * first, first, first + second, second]) * 0.3
        tiles.append(local @ turn.T + corner)
    geometry = glb(tmp_path, tiles)
    outward = turn @ np.array([1, 1.3, 0.9]) / np.linalg.norm([1, 1.3, 0.9])
    lamp = Lamp(tuple(corner + outward), tuple(-outward), 0.05, **beam(1e-4))
    record = Record()
    tally = trace(geometry, lamp, ROOM, 20_000, reflectance=0.8, sinks=[record])
    landed = record.landed()
    assert np.all(landed.bounces == 3)
    assert tally.landed[3].lumens == pytest.approx(0.8**3 * tally.lamp_lumens)
    # The beam itself is 1e-4 wide, and positions in a GLB are 32-bit floats.
    assert np.abs(landed.direction - outward).max() < 1.2e-4
    assert len({tuple(chain[:3]) for chain in landed.chain}) == 6


def thicket(path: Path) -> Geometry:
    """Tiles and panels strewn about, facing anywhere: every fate happens."""
    rng = np.random.default_rng(5)
    places = rng.normal(size=(120, 3)) * 0.12 + [0.2, 0.1, 2.0]
    normals = rng.normal(size=(120, 3))
    polygons = [square(*each, 0.04) for each in zip(places, normals, strict=True)]
    return glb(path, polygons[:80], polygons[80:])


def test_no_light_is_lost_or_made(tmp_path):
    lamp = Lamp(
        (2, 1, 1), (-1.8, -0.9, 1), 0.03, lambda gamma: 9000 * np.exp(-((gamma / 0.2) ** 2))
    )
    tally = trace(thicket(tmp_path), lamp, ROOM, 200_000, bounces=3)
    fates = [tally.absorbed, tally.panels, tally.backs, tally.cut_off, *tally.landed]
    assert all(fate.lumens > 0 for fate in fates)
    assert sum(fate.lumens for fate in fates) == pytest.approx(tally.traced.lumens, rel=1e-5)
    assert within(tally.traced, tally.lamp_lumens)
    for bounces, landed in enumerate(tally.landed):
        shares = sum(surface[bounces].lumens for surface in tally.surfaces.values())
        assert shares == pytest.approx(landed.lumens, rel=1e-6)
    assert tally.photons_per_second > 0


def test_aimed_photons_tell_the_same_as_the_whole_lamp(tmp_path):
    geometry = thicket(tmp_path)
    lamp = Lamp((1.1, 0.7, 1.6), (-0.8, -0.7, 0.5), 0.1, lambda gamma: 900 * np.cos(gamma) ** 9)
    whole = trace(geometry, lamp, ROOM, 400_000)
    # Two spheres that overlap and hide the thicket together must not count anything twice.
    middle = geometry.triangles.mean((0, 1))
    radius, aside = geometry.bounds()[0].radius, np.array([0.1, 0, 0])
    aims = {
        "one": geometry.bounds(),
        "two": (Target(middle + aside, radius * 1.2), Target(middle - aside, radius)),
    }
    for aim in aims.values():
        aimed = trace(geometry, lamp, ROOM, 400_000, aim=aim, seed=1)
        pairs = [(whole.caught, aimed.caught), (whole.absorbed, aimed.absorbed)]
        pairs += zip(whole.landed[1:], aimed.landed[1:], strict=True)
        for one, other in pairs:
            assert one.lumens == pytest.approx(
                other.lumens, abs=4.5 * np.hypot(one.error, other.error)
            )
        assert aimed.landed[1].error < whole.landed[1].error
    with pytest.raises(ValueError, match="spill"):
        trace(geometry, lamp, ROOM, 10, aim=geometry.bounds(), sinks=[DomeMap(ROOM, 8, least=0)])


def test_two_processes_and_sobol_points_agree_with_one_plain(tmp_path):
    geometry = thicket(tmp_path)
    lamp = Lamp((2, 1, 1), (-1.8, -0.9, 1), 0.03, **beam(0.4))
    aim, charts = geometry.bounds(), (DomeMap(ROOM, 32), DomeMap(ROOM, 32))
    plain = trace(geometry, lamp, ROOM, 300_000, aim=aim)
    two = trace(geometry, lamp, ROOM, 300_001, aim=aim, sinks=charts[:1], workers=2, seed=3)
    sobol = trace(geometry, lamp, ROOM, 1 << 18, aim=aim, sinks=charts[1:], draws="sobol")
    for tally, chart in zip((two, sobol), charts, strict=True):
        assert abs(tally.landed[1].lumens - plain.landed[1].lumens) < 6 * plain.landed[1].error
        on_dome = sum(each.lumens for each in tally.surfaces["dome"][1:])
        assert chart.lux().sum() * chart.texel_area == pytest.approx(on_dome, rel=1e-5)
        assert tally.photons == chart.photons
    assert two.photons == 300_001


# ---------------------------------------------------------------- room and maps


@pytest.mark.parametrize("room", [Room(4, 4), Room(4, 1.5), Room(3, 2, 2.5), Room(2, 2, 6)])
def test_rays_end_on_the_room(room):
    rng = np.random.default_rng(1)
    count = 20_000
    start = np.stack([*rng.uniform(-0.6, 0.6, (2, count)) * room.radius, rng.random(count)])
    start[2] *= room.wall + room.rise
    away, height = np.hypot(*start[:2]), start[2] - room.sphere_height
    start = start[:, (start[2] < room.wall) | (np.hypot(away, height) < room.sphere_radius)]
    count = start.shape[1]
    direction = rng.normal(size=(3, count))
    direction /= np.linalg.norm(direction, axis=0)
    point, surface = room.land(start, direction)
    step = point - start
    assert np.einsum("ij,ij->j", step, direction) == pytest.approx(np.linalg.norm(step, axis=0))
    dome, wall, floor = (point[:, surface == each] for each in range(3))
    centre = np.array([[0], [0], [room.sphere_height]])
    assert np.linalg.norm(dome - centre, axis=0) == pytest.approx(room.sphere_radius)
    assert dome[2].min() >= room.wall
    # The cap passes through its apex and its rim: what fixes the sphere.
    assert room.sphere_height + room.sphere_radius == pytest.approx(room.wall + room.rise)
    assert np.hypot(room.radius, room.wall - room.sphere_height) == pytest.approx(
        room.sphere_radius
    )
    assert np.all(floor[2] == 0)
    assert np.hypot(*floor[:2]).max() <= room.radius
    if room.wall:
        assert np.hypot(*wall[:2]) == pytest.approx(room.radius)
        assert wall[2].min() >= 0
        assert wall[2].max() <= room.wall + 1e-9
    else:
        assert wall.size == 0


def test_dome_map_is_equal_area_and_lies_on_its_back(tmp_path):
    # An even lamp at the middle of a hemisphere: E = I / R^2 everywhere on it.
    lamp = Lamp((0, 0, 0), (0, 0, 1), 1e-5, **beam(np.pi / 2, 160.0))
    chart = DomeMap(ROOM, 24, least=0)
    trace(speck(tmp_path), lamp, ROOM, 1_000_000, sinks=[chart])
    lux = chart.lux()
    # The rim's radius on the map is sqrt(2) R (Snyder 1987, eq. 24-2 at c = 90 degrees).
    assert chart.half == pytest.approx(np.sqrt(2) * 4)
    middles = (np.arange(24) + 0.5) / 12 - 1
    inside = np.hypot(*np.meshgrid(middles, middles)) < 1 - 1.5 / 12
    assert lux[inside] == pytest.approx(np.full(inside.sum(), 10.0), rel=0.1)
    assert lux[inside].mean() == pytest.approx(10, rel=0.003)
    # Snyder 1987, eq. 24-2: 60 degrees from the apex the radius is 2 R sin(30 degrees) = R.
    point = 4 * np.array([[np.sin(np.pi / 3), 0], [0, np.sin(np.pi / 3)], [0.5, 0.5]])
    row, column = chart.cells(point)
    one = 4 / (2 * chart.half) * 24
    assert column == pytest.approx([12 - one, 12])
    assert row == pytest.approx([12, 12 - one])


def test_low_dome_map_has_the_area_of_the_cap():
    # A cap of rise h has the area 2 pi R h, and the inscribed circle is all of it.
    room = Room(radius=4, rise=1.2, wall=1)
    chart = DomeMap(room, 16)
    assert np.pi * chart.half**2 == pytest.approx(2 * np.pi * room.sphere_radius * 1.2)


def test_floor_map_is_seen_from_above():
    row, column = FloorMap(ROOM, 8).cells(np.array([[3.5, 0.5], [0.5, -3.5], [0, 0]]))
    assert column.astype(int).tolist() == [7, 4]
    assert row.astype(int).tolist() == [3, 7]


# ---------------------------------------------------------------- the peer


def test_photons_for_rms_reaches_or_foretells(tmp_path):
    # A facetted ball and a wide lens light most of the dome softly: a thousand texels to judge by.
    ball = trimesh.creation.icosphere(3, 0.25).triangles + np.array([0, 0, 2])
    geometry = glb(tmp_path, ball)
    lamp = Lamp((1.5, 0, 1), (-1.5, 0, 1), 0.2, **beam(0.4))
    fine = DomeMap(ROOM, 48)
    trace(geometry, lamp, ROOM, 3_000_000, aim=geometry.bounds(), sinks=[fine], seed=9)
    reference = fine.lux()
    settings = {"workers": 1, "first": 1 << 15, "fraction": 0.1}
    run = photons_for_rms(reference, geometry, lamp, ROOM, **settings)
    assert not run.extrapolated
    assert run.rms_run == rms_error(run.lux, reference) <= 0.1
    assert run.photons == run.photons_run
    # Noise falls as one over the root of the photons, down to the reference's own.
    assert run.slope == pytest.approx(-0.5, abs=0.06)
    assert run.floor == pytest.approx(run.noise / np.sqrt(3e6), rel=0.3)
    short = photons_for_rms(reference, geometry, lamp, ROOM, most_seconds=0, seed=4, **settings)
    assert short.extrapolated
    assert short.photons_run == 1 << 15
    assert short.photons == pytest.approx(run.photons, rel=0.2)
    assert short.seconds == pytest.approx(short.photons / short.photons_per_second)


def test_rms_error_looks_at_lit_texels_only():
    reference = np.array([10.0, 5.0, 0.1, 0.0])
    lux = np.array([11.0, 4.0, 9.0, 9.0])
    assert rms_error(lux, reference) == pytest.approx(np.sqrt((0.1**2 + 0.2**2) / 2))


# ---------------------------------------------------------------- what it refuses


def test_bad_meshes_are_refused(tmp_path):
    flat = square(np.zeros(3), np.array([0, 0, 1.0]), 0.1)
    bent = flat.copy()
    bent[2, 2] = 0.01
    with pytest.raises(ValueError, match="not flat"):
        glb(tmp_path, [flat, bent])
    vertices = np.concatenate([flat, flat + np.array([0, 0, 1])])
    faces = np.array([[0, 1, 2], [4, 5, 6], [0, 2, 3], [4, 6, 7]])
    with pytest.raises(ValueError, match="follow each other"):
        Geometry((vertices, faces))
    trimesh.Scene(trimesh.creation.box()).export(tmp_path / "other.glb")
    with pytest.raises(ValueError, match="mirrors"):
        read_glb(tmp_path / "other.glb")


def test_a_target_around_the_lamp_is_refused(tmp_path):
    lamp = Lamp((0, 0, 2), (0, 0, 1), 0.01, **beam(0.1))
    with pytest.raises(ValueError, match="too near"):
        trace(speck(tmp_path), lamp, ROOM, 10, aim=[Target(np.array([0, 0, 2.1]), 0.2)])
