"""Made-up scenes, degenerate on purpose: hardly a third of them can be built.

Everything is drawn from a `random.Random`, so a case is told whole by its number; hypothesis
hands in one of its own, and then looks for the shortest case that fails.
"""

from __future__ import annotations

import functools
import math
from random import Random

from glint.schema.rules import has_opening
from glint.shape.bases import SOLIDS, solid
from glint.shape.bases.classical import PLATONIC
from tests.fuzz.toml import Tables


def scene(r: Random) -> Tables:
    """The tables of a scene that can be built, more often than not; degenerate on purpose."""
    radius = r.choice([0.5, 1.0, 2.0, 4.0, 4.0, 12.0, 100.0])
    tables: Tables = {"room": _room(r, radius), "tile": _tile(r)}
    count = 1 if r.random() < 0.7 else r.choice([2, 3, 5])
    tables["ball"] = [_ball(r, radius) for _ in range(count)]
    if r.random() < 0.1 and count > 1:  # panels of one ball in the panels of another
        tables["ball"][1] = {**tables["ball"][0]}
    if r.random() < 0.9:
        lamps = r.choice([1, 1, 1, 2, 4])
        tables["lamp"] = [_lamp(r, radius, tables["ball"]) for _ in range(lamps)]
    if r.random() < 0.15:
        tables["room"] = _other_room(r, radius, tables["room"])
    if r.random() < 0.3:
        tables["eye"] = {"at_m": _point(r, radius), "look_m": _point(r, radius)}
    if r.random() < 0.3:
        tables["optics"] = {"bounces": r.randrange(9), "flux_floor": r.choice([0, 1e-7, 1e-2, 0.1])}
    return tables


def crowd(r: Random) -> Tables:
    """Thirty-two balls, or a thousand lamps."""
    tables = {"room": {"radius_m": 12.0}, "tile": {"thickness_mm": 0.5}}
    if r.random() < 0.5:
        return tables | {
            "ball": [
                {"shape": {"base": r.choice(PLATONIC[:3])},
                 "hang": {"height_m": 4.0, "at_m": [n % 8 * 0.5, n // 8 * 0.5]}}
                for n in range(32)
            ],
            "lamp": [{"beam_deg": 60.0, "lumens": 500.0}] * r.choice([1, 3]),
        }  # fmt: skip
    lamps = [{"at_m": [math.cos(n) * 8, math.sin(n) * 8, 0.5 + n / 500]} for n in range(1000)]
    return tables | {"ball": [{"shape": {"base": "tetrahedron"}}], "lamp": lamps}


def _room(r: Random, radius: float) -> Tables:
    room: Tables = {"radius_m": radius, "ambient_lux": r.choice([0.0, 0.3, 10000.0])}
    if r.random() < 0.3:
        room["rise_m"] = radius * r.choice([0.2, 0.5, 1.0])
    if r.random() < 0.3:
        room["wall_m"] = r.choice([0.0, 0.001, 2.0, 20.0])
    if r.random() < 0.3:
        room |= {"reflectance": r.choice([0, 0.98]), "floor_reflectance": r.choice([0, 0.98])}
    if r.random() < 0.2:
        room |= {"frequency": r.choice([1, 3, 16]), "open_share": r.choice([0.0, 0.5, 1.0])}
    if r.random() < 0.2:
        room |= {"fabric_colour": "#000000", "floor_colour": r.choice(["#000000", "#ff0000"])}
    return room


def _other_room(r: Random, radius: float, dome: Tables) -> Tables:
    """Another room about as large as the dome, and like it in all that goes with both."""
    same = {key: dome[key] for key in ("ambient_lux", "fabric_colour") if key in dome}
    same["haze_per_m"] = r.choice([0.0, 0.0, 0.02, 1.0])
    if r.random() < 0.5:
        return same | {"kind": "bell", "radius_m": radius, "pole_mm": r.choice([0.0, 60.0])}
    if r.random() < 0.5:
        yurt = same | {"kind": "yurt", "radius_m": radius, "open": r.choice([[], ["crown"]])}
        return yurt | {"crown_m": max(radius * r.choice([0.0, 0.2, 1.0]), 0.1)}
    side = max(2.0 * radius, 1.0)
    names = r.choice([[], [], ["ceiling"], ["wall_east", "wall_west"]])
    return same | {"kind": "hall", "length_m": side, "width_m": side * r.choice([1.0, 0.9]),
                   "height_m": radius, "open": names}  # fmt: skip


def _tile(r: Random) -> Tables:
    panel = r.choice([1.0, *[5.0, 32.0] * 5, 200.0, 2000.0])
    tile: Tables = {
        "panel_edge_mm": panel,
        "edge_mm": max(1.0, panel * r.choice([0.5, 0.78, 0.78])),
    }
    tile["thickness_mm"] = max(0.1, min(50.0, panel * r.choice([0.001, 0.03, 0.06, 0.5])))
    if r.random() < 0.3:
        tile["tilt_sd_deg"] = r.choice([0.01, 1.0, 20.0])
    if r.random() < 0.2:
        tile["reflectance"] = r.choice([0.0, 1.0])
    return tile


def _ball(r: Random, radius: float) -> Tables:
    height = r.choice([0.05, 0.3, 0.6, 0.6, 0.6, 0.9]) * radius
    hang: Tables = {"height_m": height, "at_m": [0.0, 0.0]}
    if r.random() < 0.5:
        hang["at_m"] = [radius * r.uniform(-0.4, 0.4), radius * r.uniform(-0.4, 0.4)]
    if r.random() < 0.4:
        hang["by"] = r.choice(["vertex", "face", "edge"])
    shape = _shape(r)
    if has_opening(shape) and r.random() < 0.5:
        hang["by"] = "opening"
    motion = {"rpm": r.choice([0.0, 1.5, -120.0, 1e-9]), "phase_deg": r.choice([0, 45, 360])}
    return {"shape": shape, "hang": hang, "motion": motion}


def _shape(r: Random) -> Tables:
    way = r.random()
    if way < 0.1:
        return {"base": "rings", "diameter_m": r.choice([0.02, 0.1, 0.3, 1.0]),
                "gap_mm": r.choice([0.0, 2.0, 50.0])}  # fmt: skip
    if way < 0.15:
        return {
            "base": "geodesic",
            "diameter_m": r.choice([0.1, 0.5]),
            "frequency": r.randint(1, 4),
        }
    shape: Tables = {"base": r.choice([*PLATONIC, *SOLIDS])}
    if way < 0.25:
        shape = {
            "base": r.choice(["prism", "antiprism"]),
            "sides": r.choice([3, 4, 5, 6, 8, 10, 7]),
        }
    there = faces(shape["base"], shape.get("sides"))
    steps: list[Tables] = [
        {"do": "raise" if sides == 5 else "cap", "sides": sides}
        for sides in (10, 8, 6, 5)
        if sides in there
    ]
    for _ in range(r.choice([0, 0, 1, 1, 2])):
        # Caps and raised pentagons leave triangles, and caps leave squares.
        there = there | ({3} if steps else set()) | ({4} if there & {6, 8, 10} else set())
        sides = r.choice(sorted(there & {3, 4}))
        way_on = ["raise", "split", "open"] + (["spike"] if sides == 3 else [])
        step: Tables = {"do": r.choice(way_on), "sides": sides}
        if r.random() < 0.3:
            step["count"] = r.choice([1, 2])
        if step["do"] == "split" and r.random() < 0.5:
            step["frequency"] = r.choice([2, 3, 16])
        steps.append(step)
    return shape | ({"steps": steps} if steps else {})


@functools.cache
def faces(base: str, sides: int | None) -> frozenset[int]:
    """How many sides the faces of a solid have."""
    return frozenset(len(face) for face in solid(base, sides).faces)


def _lamp(r: Random, radius: float, balls: list[Tables]) -> Tables:
    ball = r.choice(balls)
    x, y = ball["hang"]["at_m"]
    centre = [x, y, ball["hang"]["height_m"]]
    lamp: Tables = {"at_m": _point(r, radius)}
    place = r.random()
    if place < 0.1:  # level with the middle, right below, or in the plane of a cube's side
        lamp["at_m"] = r.choice([[0.8 * radius, 0.0, centre[2]], [x, y, 0.01],
                                 [x + 0.016, 0.5 * radius, 0.1]])  # fmt: skip
    elif place < 0.15:
        lamp["at_m"] = centre  # inside the ball
    elif place < 0.2:  # all but touching
        lamp["at_m"] = [x + r.choice([0.03, 0.1, 0.5]), y, centre[2]]
    if r.random() < 0.7:
        lamp["aim"] = r.choice([centre, centre, [x, y, 0.0], [0.0, 0.0, 50.0], _point(r, radius)])
    beam = r.choice([0.1, 1.0, 6.0, 6.0, 30.0, 160.0])
    lamp["beam_deg"] = beam
    if r.random() < 0.3:
        lamp["field_deg"] = min(beam * r.choice([1.0001, 1.5, 3.2]), 179.0)
    if r.random() < 0.4:
        lamp |= r.choice([{"lumens": 1e-9}, {"lumens": 1e7}, {"peak_cd": 1e9}, {"peak_cd": 1e-9}])
    lamp["lens_mm"] = r.choice([1.0, 60.0, 60.0, 60.0, 300.0])
    if r.random() < 0.3:
        lamp |= r.choice([{"kelvin": 1000.0}, {"colour": "#0000ff"}, {"colour": "#000100"}])
    return lamp


def _point(r: Random, radius: float) -> list[float]:
    turn, away = r.uniform(0, 2 * math.pi), r.choice([0.0, 0.3, 0.7, 0.7, 0.99])
    height = r.choice([0.001, 0.1, 0.2, 0.4]) if away < 0.8 else 0.001
    return [radius * v for v in (away * math.cos(turn), away * math.sin(turn), height)]
