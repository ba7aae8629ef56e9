"""Faces in words: what a polygon is called, and how many there are."""

from __future__ import annotations

from collections.abc import Mapping

_FACES = {
    3: "triangle",
    4: "square",
    5: "pentagon",
    6: "hexagon",
    7: "heptagon",
    8: "octagon",
    9: "nonagon",
    10: "decagon",
    11: "hendecagon",
    12: "dodecagon",
}


def face_name(sides: int) -> str:
    """What a polygon of so many sides is called."""
    return _FACES.get(sides, f"{sides}-sided polygon")


def counted(count: int, thing: str) -> str:
    """1 panel, 2 panels."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def faces_left(left: Mapping[int, int]) -> str:
    """How many faces of how many sides, as "12 faces of 5 sides"; left: {sides: count}."""
    each = [f"{counted(count, 'face')} of {sides} sides" for sides, count in sorted(left.items())]
    return " and ".join(each)
