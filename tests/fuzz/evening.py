"""Made-up evenings: whole scenes that can nearly all be built, small enough to be quick.

Each table is good by itself and goes with the others; what is degenerate is left to `scenes`, and
what is wrong to `spoil`.
"""

from __future__ import annotations

import math
from random import Random

from tests.fuzz import motions, strings, wishes
from tests.fuzz.shapes import Made, shape
from tests.fuzz.toml import Tables


def evening(r: Random) -> Tables:
    """The tables of a scene with everything that a scene may have, now this and now that."""
    high = r.choice([1.5, 3.0, 6.0])
    across = high * r.choice([1.0, 1.3])
    tables: Tables = {"room": _room(r, high, across), "tile": _tile(r, high)}
    if r.random() < 0.5:
        tables["title"] = wishes.title(r)
    number = r.choice([1, 1, 1, 2, 3])
    made = [_that_fits(r, tables["tile"], high) for _ in range(number)]
    tables["ball"] = [_ball(r, one, turn, number, high, across) for turn, one in enumerate(made)]
    if strings.takes_strings(made) and r.random() < 0.4:
        strings.string_up(r, tables, made)
    if "string" not in tables or r.random() < 0.5:
        lamps = range(r.choice([1, 1, 1, 2, 3]))
        tables["lamp"] = [_lamp(r, across, high, tables["ball"]) for _ in lamps]
    if r.random() < 0.3:
        tables["eye"] = _eye(r, across, high)
    if r.random() < 0.3:
        tables["optics"] = {"bounces": r.randrange(6), "flux_floor": r.choice([0, 1e-7, 1e-3, 0.1])}
    if r.random() < 0.1:
        tables["visible_contrast"] = r.choice([0.0, 0.01, 1.0, 100.0])
    if r.random() < 0.3:
        tables["workshop"] = wishes.workshop(r)
    return tables


def _room(r: Random, high: float, across: float) -> Tables:
    """A room with at least `high` overhead in the middle, and `across` to its sides, m."""
    room: Tables = {}
    way = r.random()
    if way < 0.5:
        room |= {"radius_m": across, "wall_m": r.choice([0.0, 0.2, 1.0]), "rise_m": high}
        room["radius_m"] = max(across, high)
        if r.random() < 0.3:
            room |= {"frequency": r.choice([1, 2, 4, 8]), "open_share": r.choice([0.0, 0.3, 1.0])}
    elif way < 0.7:
        room |= {"kind": "bell", "radius_m": across, "rise_m": high, "wall_m": 0.5}
        room["pole_mm"] = r.choice([0.0, 60.0])
    else:
        room |= {"kind": "hall", "length_m": 2.0 * across, "height_m": high}
        room["width_m"] = 2.0 * across * r.choice([1.0, 0.9])
        room["open"] = r.choice([[], [], ["ceiling"], ["wall_east", "wall_west"]])
    if r.random() < 0.3:
        room["haze_per_m"] = r.choice([0.01, 0.1, 1.0])
    if r.random() < 0.3:
        room |= {"ambient_lux": r.choice([0.0, 0.01, 100.0, 10000.0])}
    if r.random() < 0.3:
        room |= {"reflectance": r.choice([0, 0.3, 0.98]), "floor_colour": "#102030"}
    return room


def _tile(r: Random, high: float) -> Tables:
    panel = r.choice([10.0, 32.0, 32.0, 80.0, 150.0])
    tile: Tables = {"panel_edge_mm": panel, "edge_mm": panel * r.choice([0.5, 0.78, 0.9])}
    tile["thickness_mm"] = max(0.1, panel * r.choice([0.01, 0.03]))
    if r.random() < 0.2:
        tile["tilt_sd_deg"] = r.choice([0.01, 0.5, 5.0])
    if r.random() < 0.2:
        tile["reflectance"] = r.choice([0.0, 0.5, 1.0])
    return tile


def _that_fits(r: Random, tile: Tables, high: float) -> Made:
    """A shape that takes no more than a sixth of the room's height to each side."""
    edge = tile["panel_edge_mm"] / 1000.0
    while True:
        made = shape(r)
        size = made.radius * edge or 0.5 * made.shape["diameter_m"]
        small = made.shape.get("frequency", 1) * edge * 1.2 <= 2.0 * size
        rings = made.shape["base"] != "rings" or edge < 0.2 * size
        if size <= high / 6.0 and (made.radius or small) and rings:
            return made


def _ball(r: Random, made: Made, turn: int, number: int, high: float, across: float) -> Tables:
    hang: Tables = {"height_m": high * r.choice([0.45, 0.5, 0.55])}
    angle = 2.0 * math.pi * (turn + r.uniform(-0.1, 0.1)) / number
    away = 0.35 * across if number > 1 or r.random() < 0.7 else 0.0
    hang["at_m"] = [away * math.cos(angle), away * math.sin(angle)]
    opened = any(step["do"] == "open" for step in made.shape.get("steps", ()))
    if made.shape["base"] != "rings" and r.random() < 0.5:
        ways = ["vertex", "face", "edge"] + ["opening"] * 2 * opened
        hang["by"] = r.choice(ways)
    ball: Tables = {"shape": made.shape, "hang": hang, "motion": motions.motion(r)}
    if r.random() < 0.2:
        ball["name"] = f"{wishes.title(r)[:40].strip() or 'quince'} {turn}"
    return ball


def _lamp(r: Random, across: float, high: float, balls: list[Tables]) -> Tables:
    """A lamp by the side of the room, as a rule with its light on a ball."""
    angle = r.uniform(0.0, 2.0 * math.pi)
    lamp: Tables = {
        "at_m": [0.85 * across * math.cos(angle), 0.85 * across * math.sin(angle), 0.1 * high],
        "beam_deg": r.choice([1.0, 6.0, 20.0, 60.0]),
        "lens_mm": r.choice([5.0, 60.0, 60.0, 150.0]),
    }
    ball = r.choice(balls)
    centre = [*ball["hang"]["at_m"], ball["hang"]["height_m"]]
    way = r.random()
    if way < 0.6:
        lamp["aim"] = ball.get("name", f"ball {balls.index(ball) + 1}")
    elif way < 0.8:
        lamp["aim"] = [centre[0] + r.uniform(-0.1, 0.1), centre[1], centre[2]]
    else:
        lamp["aim"] = [0.0, 0.0, high]
    lamp |= r.choice([{}, {}, {"lumens": 300.0}, {"peak_cd": 1e9}, {"peak_cd": 1e-9}])
    lamp |= r.choice([{}, {"kelvin": 6500.0}, {"colour": "#ff4000"}])
    if r.random() < 0.2:
        lamp["field_deg"] = min(lamp["beam_deg"] * r.choice([1.2, 3.0]), 175.0)
    return lamp


def _eye(r: Random, across: float, high: float) -> Tables:
    angle = r.uniform(0.0, 2.0 * math.pi)
    away = across * r.choice([0.1, 0.6, 0.8])
    eye: Tables = {"at_m": [away * math.cos(angle), away * math.sin(angle), 0.1 * high]}
    if r.random() < 0.8:
        eye["look_m"] = [0.0, 0.0, r.choice([0.0, 0.5, 1.0]) * high]
    eye["fov_deg"] = r.choice([5.0, 60.0, 110.0, 170.0, 220.0])
    eye["glare"] = r.choice([0.0, 1.0, 1.0, 10.0])
    return eye
