"""Strings of lights, and the seams, corner holes and holes that let their light out."""

from __future__ import annotations

from random import Random

from tests.fuzz.shapes import Made
from tests.fuzz.toml import Tables


def takes_strings(made: list[Made]) -> bool:
    """Whether one of the balls has panels, not rings."""
    return any(one.kinds for one in made)


def string_up(r: Random, tables: Tables, made: list[Made]) -> None:
    """Put one to three strings into balls of a scene, and openings into its panels."""
    tile = tables["tile"]
    panel = tile["panel_edge_mm"]
    openings = r.sample(["seam_mm", "corner_cut_mm", "hole_mm"], r.choice([1, 1, 2, 3]))
    for key in openings:
        tile[key] = max(0.01, panel * r.choice([0.01, 0.05, 0.1, 0.15, 1e-4]))
    if r.random() < 0.3:
        tile["inner_reflectance"] = r.choice([0.0, 0.5, 0.98])
    fitting = [number for number, one in enumerate(made) if one.kinds]
    tables["string"] = [_string(r, tables, made, fitting) for _ in range(r.choice([1, 1, 2, 3]))]


def _string(r: Random, tables: Tables, made: list[Made], fitting: list[int]) -> Tables:
    number = r.choice(fitting)
    ball, panel = tables["ball"][number], tables["tile"]["panel_edge_mm"]
    name = ball.get("name", f"ball {number + 1}")
    string: Tables = {"ball": name, "led_mm": max(0.1, 0.02 * panel)}
    # A ball's own inside: a tenth of its panels' edge at least, and of a sphere half its radius.
    size = made[number].shape.get("diameter_m", 0.0) * 250.0 or 0.2 * panel
    lay = r.random()
    if lay < 0.5:
        string["leds"] = r.choice([1, 2, 5])
        if r.random() < 0.3:
            string["bundle_mm"] = max(1.0, 0.5 * size)
    elif lay < 0.75:
        string |= {"lay": "coil", "leds": r.choice([1, 3])}
        if r.random() < 0.5:
            string |= {
                "coil_mm": max(1.0, 0.5 * size),
                "coil_height_mm": r.choice([0.0, 0.2 * size]),
            }
            string["turns"] = r.choice([0.5, 3.0, 200.0])
    else:
        points = [[r.uniform(-0.3, 0.3) * size for _ in range(3)] for _ in range(r.choice([1, 3]))]
        string["points_mm"] = points + [[0.0, 0.0, 0.0]] * r.choice([0, 1, 2])
    colours = [{}, {"kelvin": 5000.0}, {"colour": "#ff8000"}, {"colour": ["#ff0000", "#00ff00"]}]
    string |= r.choice(colours)
    if r.random() < 0.3:
        string["twinkle_s"] = r.choice([0.5, 2.0, 7.3, 120.0])
    if r.random() < 0.2:
        string["led_lumens"] = r.choice([1e-9, 1e4])
    return string
