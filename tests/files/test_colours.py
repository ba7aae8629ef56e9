"""Names of colours: as published, read wherever a colour is, and misspelt ones put right."""

from __future__ import annotations

import matplotlib.colors
import numpy as np
import pytest
from PIL import ImageColor

import glint
from glint.errors import SceneError
from glint.files.colours import COLOURS, WHITES, colour_code
from glint.photometry.colour import kelvin_to_linear_rgb, of_luminance_one, srgb_encode

CSS = {name: code for name, code in COLOURS.items() if name not in WHITES}


def test_names_and_values_are_those_of_css():
    """CSS Color Module Level 4, as two libraries have them."""
    assert matplotlib.colors.CSS4_COLORS.keys() == CSS.keys()
    assert {n: c.lower() for n, c in matplotlib.colors.CSS4_COLORS.items()} == CSS
    assert all(ImageColor.getrgb(name) == ImageColor.getrgb(code) for name, code in CSS.items())


@pytest.mark.parametrize(
    ("name", "kelvin"),
    list(zip(WHITES, (1900.0, 2700.0, 4000.0, 5700.0, 6500.0), strict=True)),
)
def test_whites_are_black_bodies(name, kelvin):
    rgb = kelvin_to_linear_rgb(kelvin)
    codes = np.round(255.0 * srgb_encode(rgb / rgb.max())).astype(int)
    assert tuple(codes) == ImageColor.getrgb(WHITES[name])


def test_capitals_and_joints_do_not_matter():
    assert {colour_code(name) for name in ("darkorange", "Dark Orange", "DARK-orange")} == {
        "#ff8c00"
    }
    assert colour_code("Warm White") == colour_code("warm_white") == WHITES["warm white"]
    assert colour_code("#AbCdEf") == "#AbCdEf" and colour_code(7) == 7


def scene(**tables) -> glint.Scene:
    found = {"room": {"radius_m": 4.0}, "balls": [{"shape": {"base": "icosahedron"}}], **tables}
    return glint.Scene(**found)


def test_a_name_may_stand_wherever_a_colour_may():
    made = scene(
        room={"radius_m": 4.0, "fabric_colour": "Linen", "floor_colour": "saddle brown"},
        tile={"panel_colour": "black", "seam_mm": 1.0},
        lamps=[{"colour": "cool white"}],
        strings=[{"colour": ["orange", "#00ff00"], "leds": 2, "bundle_mm": 5.0}],
    )
    room = made.source.room
    assert (room.fabric_colour, room.floor_colour) == ("#faf0e6", "#8b4513")
    assert made.source.tile.panel_colour == "#000000"
    assert made.source.string[0].colour == ("#ffa500", "#00ff00")
    # A named white is the light of its temperature, but for the rounding of its code.
    wanted = of_luminance_one(kelvin_to_linear_rgb(5700.0))
    assert np.allclose(made.lamps[0].colour, wanted, rtol=0.01)
    assert 'colour = "cool white"' in made.to_toml()


@pytest.mark.parametrize(
    ("tables", "expected"),
    [
        ({"lamps": [{"colour": "orang"}]}, 'did you mean "orange"?'),
        ({"lamps": [{"colour": "warn white"}]}, 'did you mean "warm white"?'),
        ({"room": {"radius_m": 4.0, "floor_colour": "sadle-brown"}}, 'did you mean "saddlebrown"?'),
        ({"lamps": [{"colour": "transparent"}]}, 'or by name, such as "orange" or "warm white"'),
        ({"lamps": [{"colour": "Black"}]}, "any colour but black"),
        ({"strings": [{"colour": ["red", "black"]}]}, "any colour but black"),
    ],
)
def test_errors_offer_the_nearest_name(tables, expected):
    with pytest.raises(SceneError) as caught:
        scene(**tables)
    assert expected in str(caught.value)
