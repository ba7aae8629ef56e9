"""A first scene: a room, bodies that a stock of tiles makes, and lamps, placed so that it looks
good, as the commented text of a scene file."""

from __future__ import annotations

import itertools
import math
from functools import cache
from typing import NamedTuple

from glint.build.first_shapes import MOST_BODIES, THICKNESS, Chosen, chosen_shapes, tile_table
from glint.build.stock import Stock, candidates, shortages
from glint.errors import UsageError

MOST_LAMPS = 6
FOR_ONE_LAMP = 2
"""Most bodies for each lamp: for more its beam would be so wide that most of it passes them."""

HEAD_ROOM = 2.0
"""Height of the lowest point of every body, m: above heads."""

BELOW_ROOF, APART = 0.2, 0.14
"""Space that a body keeps from what is overhead, and from its neighbour, m."""

STAGGERED = (0.0, 0.16, 0.06, 0.22, 0.11)
"""How much higher each body hangs than the lowest, m, if there is room: no row of pearls."""

SPEEDS = (1.0, -2.0, 1.0, -1.0, 2.0)
"""Turns a minute: all together again after a minute, so that a loop closes."""

LAMPS = (
    (-36.0, "warm white"),
    (216.0, "#ffb27a"),
    (68.0, "#9fc4ff"),
    (112.0, "warm white"),
    (-8.0, "#ff9f6b"),
    (188.0, "neutral white"),
)
"""Azimuth of each lamp, degrees, and its colour. None stands behind the eye, which looks from -y:
its light comes from the sides, where mirrors throw it all around."""

FIRST = 108.0
"""Azimuth of the first body, degrees, where there are several lamps."""

LAMP_OUT, LAMP_HEIGHT = 0.72, 1.4
"""Where lamps stand: shares of the floor's half sides; m, on a low stand, so that what passes the
bodies lands high up."""

NARROWEST, SPILL = 4.0, 1.0
"""Beam of a lamp for one body, degrees at least; angle over that of what it must light."""

PEAK = 20000.0
"""Candela of a lamp in a room of 4 m about; more in larger ones."""

EYE_OUT, EYE_HEIGHT = 0.66, 1.25


class Kind(NamedTuple):
    """A kind of room: the width of its floor, m, and the lines of its table for a width."""

    across: float
    words: str
    middle: tuple[float, float] = (0.0, 0.0)  # of the ring of bodies, in half sides of the floor


KINDS = {
    "dome": Kind(8.0, "a dome"),
    "bell": Kind(6.0, "a bell tent with a pole", (0.2, 0.12)),
    "yurt": Kind(6.8, "a yurt"),
    "hall": Kind(10.0, "a hall"),
}
NARROW, WIDE = 5.0, 30.0
"""Widths of the floor that may be asked for, m."""


class Answers(NamedTuple):
    """What somebody answered. across: width of the floor, m; edge: of a tile, mm."""

    room: str
    triangles: int
    squares: int
    lamps: int
    across: float
    edge: float
    inches: bool = False


class Hung(NamedTuple):
    """A body in its place. at: (x, y); height: of its centre; m."""

    name: str
    chosen: Chosen
    at: tuple[float, float]
    height: float
    rpm: float

    @property
    def radius(self) -> float:
        """Of the body with its tiles, m."""
        return self.chosen.body.radius


def first_scene(answers: Answers, file: str, spare: float = 5.0) -> tuple[str, list[Hung]]:
    """The text of a scene file, and the bodies in it. file: its name, for what to try next.

    spare: percent of what is glued that is kept for breakage. Raises UsageError where the stock
    makes nothing, or nothing that fits above heads. The same answers give the same text.
    """
    room = _Room(answers)
    stock = Stock(answers.triangles, answers.squares, spare)
    most = min(MOST_BODIES, FOR_ONE_LAMP * answers.lamps)
    shapes = chosen_shapes(stock, answers.edge, room.widest, most)
    if not shapes:
        raise UsageError(_nothing(stock, room))
    bodies = hung(shapes, room, LAMPS[0][0] if answers.lamps == 1 else FIRST)
    return _text(answers, room, bodies, spare, file), bodies


class _Room:
    """The sizes of the room that was asked for, m."""

    def __init__(self, answers: Answers) -> None:
        self.kind = answers.room
        self.half_x = 0.5 * answers.across
        self.half_y = self.half_x if self.kind != "hall" else 0.7 * self.half_x
        radius = self.half_x
        sizes: dict[str, list[tuple[str, float]]] = {
            "dome": [("radius", radius)],
            "bell": [("radius", radius), ("rise", 0.87 * radius), ("wall", 0.9)],
            "yurt": [("radius", radius), ("rise", 0.45 * radius), ("wall", 1.7)],
            "hall": [
                ("length", 2.0 * self.half_x),
                ("width", 2.0 * self.half_y),
                ("height", max(4.0, 0.42 * self.half_y * 2.0)),
            ],
        }
        self.sizes = sizes[self.kind]
        x, y = KINDS[self.kind].middle
        self.middle = (x * self.half_x, y * self.half_y)

    def ceiling(self, out: float) -> float:
        """Height of what is overhead so far from the middle, m."""
        size = dict(self.sizes)
        if self.kind == "dome":
            return math.sqrt(max(size["radius"] ** 2 - out**2, 0.0))
        if self.kind == "hall":
            return size["height"]
        inner = 0.25 * size["radius"] if self.kind == "yurt" else 0.0
        down = max(out - inner, 0.0) / (size["radius"] - inner)
        return size["wall"] + size["rise"] * (1.0 - down)

    def widest(self, count: int) -> float:
        """Diameter of the largest of so many bodies that fit above heads there, m."""
        low, high = 0.0, 0.3 * self.half_y
        for _ in range(30):
            wide = 0.5 * (low + high)
            reach = math.hypot(*self.middle) + 1.01 * ring_of(count, wide) + 0.5 * wide + 0.01
            space = self.ceiling(reach) - BELOW_ROOF - HEAD_ROOM if reach < self.half_y else 0.0
            low, high = (wide, high) if wide + 0.02 <= space else (low, wide)
        return low


def ring_of(count: int, wide: float) -> float:
    """Radius of a ring of bodies of a width, APART from each other: neighbours in a ring of n are
    2 r sin(pi / n) apart, m."""
    return (wide + APART) / (2.0 * math.sin(math.pi / count)) if count > 1 else 0.0


def hung(shapes: list[Chosen], room: _Room, start: float) -> list[Hung]:
    """The bodies in a ring, clear of each other, of heads and of the roof.

    start: azimuth of the first, degrees. Towards a single lamp, two of them stand one behind and
    above the other in its light, and its beam is narrow.
    """
    count = len(shapes)
    most = max(one.body.radius for one in shapes)
    ring = ring_of(count, 2.0 * most)
    found: list[Hung] = []
    for number, one in enumerate(shapes):
        azimuth = math.radians(start + 360.0 * number / count)
        x = round(room.middle[0] + 1.01 * ring * math.cos(azimuth), 2) + 0.0
        y = round(room.middle[1] + 1.01 * ring * math.sin(azimuth), 2) + 0.0
        radius = one.body.radius
        lowest = HEAD_ROOM + radius + 0.01
        # The nearest of a curved roof is beside the point above: a body's radius further out.
        highest = room.ceiling(math.hypot(x, y) + radius) - BELOW_ROOF - radius
        height = min(lowest + 0.15 + STAGGERED[number % len(STAGGERED)], max(highest, lowest))
        height = math.ceil(100.0 * height - 1e-6) / 100.0
        name = one.name.split(",")[0]
        again = sum(body.name.startswith(name) for body in found)
        name = f"{name} {again + 1}" if again else name
        found.append(Hung(name, one, (x, y), height, SPEEDS[number % len(SPEEDS)]))
    return found


class _Aimed(NamedTuple):
    """A lamp: where it stands, m, the body that it points at, its beam, degrees, and the rest."""

    at: tuple[float, float, float]
    aim: Hung
    beam: float
    peak: float
    colour: str


def lamps_for(count: int, bodies: list[Hung], room: _Room) -> list[_Aimed]:
    """So many lamps, between them on every body: of all ways to share the bodies out, the one with
    the narrowest beams, so that most of the light falls on mirrors."""
    places = []
    for azimuth, _ in LAMPS[:count]:
        turn = math.radians(azimuth)
        x = round(LAMP_OUT * room.half_x * math.cos(turn), 2)
        y = round(LAMP_OUT * room.half_y * math.sin(turn), 2)
        places.append((x, y, LAMP_HEIGHT))

    @cache
    def best(lamp: int, mine: tuple[int, ...]) -> tuple[float, int]:
        """The beam of a lamp on some bodies, and which of them it points at."""
        some = [bodies[one] for one in mine]
        return min((_beam(places[lamp], bodies[one], some), one) for one in mine)

    def shared(way: tuple[int, ...]) -> list[tuple[float, int]]:
        """way: the lamp of each body. A lamp too many lights a body that has one already."""
        groups = [tuple(b for b, lamp in enumerate(way) if lamp == n) for n in range(count)]
        return [best(n, mine or (n % len(bodies),)) for n, mine in enumerate(groups)]

    ways = itertools.product(range(count), repeat=len(bodies))
    needed = min(count, len(bodies))
    full = (way for way in ways if len(set(way)) == needed)
    way = min(full, key=lambda way: (sum(beam**2 for beam, _ in shared(way)), way))
    found = []
    for at, (beam, aim), (_, colour) in zip(places, shared(way), LAMPS, strict=False):
        body = bodies[aim]
        distance = math.dist(at, (*body.at, body.height))
        peak = round(PEAK * max((distance / 3.0) ** 2, 0.5), -3)
        found.append(_Aimed(at, body, beam, peak, colour))
    return found


def _beam(at: tuple[float, float, float], aim: Hung, mine: list[Hung]) -> float:
    """Full angle of a beam at one body, degrees, that takes in the middle of some bodies and most
    of the rest: at its edge it still is half as strong."""
    axis = _towards(at, aim)
    most = 0.0
    for body in mine:
        way = _towards(at, body)
        length = math.sqrt(sum(v * v for v in way))
        cosine = sum(a * b for a, b in zip(axis, way, strict=True))
        cosine /= length * math.sqrt(sum(v * v for v in axis))
        aside = math.acos(min(max(cosine, -1.0), 1.0))
        most = max(most, aside + 0.6 * math.asin(min(body.radius / length, 1.0)))
    return max(math.ceil(SPILL * math.degrees(2.0 * most)), NARROWEST)


def _towards(at: tuple[float, float, float], body: Hung) -> tuple[float, float, float]:
    return body.at[0] - at[0], body.at[1] - at[1], body.height - at[2]


def _nothing(stock: Stock, room: _Room) -> str:
    have = f"{stock.triangles} triangles and {stock.squares} squares"
    if room.widest(1) <= 0.01:
        return f"found a {room.kind} too low for a body above heads; allowed: a larger --across"
    near = [
        f"{row.entry.name} ({row.triangles} triangles and {row.squares} squares short)"
        for row in shortages(stock, candidates())
    ]
    nearest = f"; nearest: {', '.join(near)}" if near else ""
    return (
        f"found {have}, with 5 % kept for breakage: no shape is made of these, or none that fits "
        f"above heads; allowed: more tiles (--triangles, --squares), smaller ones (--edge), or a "
        f"larger room (--across){nearest}"
    )


def _text(answers: Answers, room: _Room, bodies: list[Hung], spare: float, file: str) -> str:
    from glint.build.first_text import text_of

    lamps = lamps_for(answers.lamps, bodies, room)
    eye = ((0.06 * room.half_x, -EYE_OUT * room.half_y, EYE_HEIGHT), _looked_at(bodies, room))
    return text_of(answers, room.sizes, bodies, lamps, eye, tile_table(answers.edge), spare, file)


def _looked_at(bodies: list[Hung], room: _Room) -> tuple[float, float, float]:
    x = sum(body.at[0] for body in bodies) / len(bodies)
    y = sum(body.at[1] for body in bodies) / len(bodies)
    height = sum(body.height for body in bodies) / len(bodies)
    return round(x, 2), round(y + 0.2 * room.half_y, 2), round(height - 0.05, 2)


__all__ = ["KINDS", "THICKNESS", "Answers", "Hung", "first_scene", "hung", "lamps_for"]
