"""Light out of a hollow body against the formula of an integrating sphere."""

from __future__ import annotations

import numpy as np
import pytest

from glint.lighting.prepared import lighting_of
from glint.lighting.strings.balance import audit_strings
from glint.photometry.integrating_sphere import glow_share, radiance
from tests.judge import Room
from tests.judge.cavity import throw_inside
from tests.lighting.strung import LANTERN, geometry, strung

SPHERE = {"base": "geodesic", "diameter_m": 0.4, "frequency": 2}
SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def out_by_rounds(reflectance: float, open_share: float) -> float:
    """Of light that falls on the walls of a sphere, what leaves it: round by round, the walls send
    back rho of it, evenly over all the inside, of which the open share is lost and the rest falls
    on the walls again (the argument of Goebel 1967, Applied Optics 6, 125-128, from memory)."""
    falling, out = 1.0, 0.0
    for _ in range(3000):
        out += falling * reflectance * open_share
        falling *= reflectance * (1.0 - open_share)
    return out


@pytest.mark.parametrize("reflectance", [0.0, 0.3, 0.7, 0.95])
@pytest.mark.parametrize("open_share", [0.0, 0.01, 0.2, 1.0])
def test_the_multiplier_is_the_sum_of_all_rounds(reflectance, open_share):
    assert glow_share(reflectance, open_share) == pytest.approx(
        out_by_rounds(reflectance, open_share), rel=1e-12
    )
    # An even luminance L sends pi L through each unit of area.
    leaving = np.pi * radiance(5.0, reflectance, open_share, 1.0 - open_share) * open_share
    assert leaving == pytest.approx(5.0 * glow_share(reflectance, open_share), abs=1e-12)


@pytest.mark.parametrize(("seam_mm", "cut_mm"), [(1.0, 0.0), (6.0, 8.0)])
@pytest.mark.parametrize("reflectance", [0.3, 0.9])
def test_a_ball_like_body_lets_out_what_an_integrating_sphere_does(seam_mm, cut_mm, reflectance):
    # Tiles small and as thin as can be: their rims would keep some of it.
    tile = {
        "edge_mm": 10.0,
        "seam_mm": seam_mm,
        "corner_cut_mm": cut_mm,
        "inner_reflectance": reflectance,
        "thickness_mm": 0.1,
    }
    point = {"points_mm": [[0, 0, 0]], "led_mm": 1.0, "led_lumens": 10.0}
    scene = strung(SPHERE, tile, point)
    inside = lighting_of(scene).cavities[0]
    (row,) = audit_strings(scene.at(degrees=0.0), 256)
    share = inside.open_area / (inside.open_area + inside.wall_area)
    # From the middle, light falls on openings and walls in proportion to their areas.
    assert sum(row.landed.values()) == pytest.approx(10.0 * share, rel=0.03)
    falling = 10.0 - float(inside.through.sum())
    assert sum(row.glow.values()) == pytest.approx(
        falling * out_by_rounds(reflectance, share), rel=0.01
    )


CASES = {
    "sphere, dull": (SPHERE, {"seam_mm": 4.0, "corner_cut_mm": 5.0, "inner_reflectance": 0.4}),
    "sphere, white": (SPHERE, {"seam_mm": 4.0, "corner_cut_mm": 5.0, "inner_reflectance": 0.9}),
    "lantern": (LANTERN, {"seam_mm": 2.0, "corner_cut_mm": 4.0}),
    "lantern, holes": (LANTERN, {"hole_mm": 6.0}),
    "spiked": (SPIKED, {"seam_mm": 3.0, "corner_cut_mm": 4.0, "thickness_mm": 1.5}),
}


@pytest.mark.parametrize("name", [name for name in CASES if "holes" not in name])
def test_light_out_agrees_with_photons_among_diffuse_walls(name):
    shape, tile = CASES[name]
    scene = strung(shape, tile, {"leds": 6, "led_mm": 3.0})
    inside = lighting_of(scene).cavities[0]
    (row,) = audit_strings(scene.at(degrees=0.0), 256)
    seen = throw_inside(
        geometry(scene),
        inside.lamps.position + inside.centre,
        0.0015,
        Room(4.0, 4.0),
        200_000,
        walls=inside.reflectance,
        mirrors=scene.balls[0].reflectance,
    )
    out = seen.straight + seen.glow
    # An even luminance is not quite that of a body with spikes, whose tips are darker.
    spiked = name == "spiked"
    assert row.out / row.lumens == pytest.approx(out, rel=0.03 if spiked else 0.02)
    straight, glow = (sum(part.values()) / row.lumens for part in (row.landed, row.glow))
    assert straight == pytest.approx(seen.straight, abs=3.5 * seen.out_error)
    assert glow == pytest.approx(seen.glow, rel=0.06 if spiked else 0.02)
    caught = row.caught / row.lumens
    assert caught == pytest.approx(seen.caught, abs=0.006)
    on_dome = (row.landed["dome"] + row.glow["dome"]) / row.lumens
    assert on_dome == pytest.approx(seen.surfaces["dome"], rel=0.025)


@pytest.mark.parametrize("name", list(CASES))
def test_every_lumen_of_a_string_is_found_again(name):
    shape, tile = CASES[name]
    scene = strung(shape, tile, {"leds": 5, "led_mm": 3.0, "twinkle_s": 4.0})
    (row,) = audit_strings(scene.at(seconds=1.3), 512)
    assert 0.0 < row.lumens < 10.0
    assert abs(row.closure) < 1e-3
