"""The room of a scene file."""

from __future__ import annotations

from dataclasses import replace

from glint.photometry.colour import hex_to_linear_rgb
from glint.room.room import Room
from glint.room.table import RoomTable


def build_room(table: RoomTable) -> Room:
    """The surfaces of a filled room table, those that it names open."""
    fabric = table.reflectance * hex_to_linear_rgb(table.fabric_colour)
    floor = table.floor_reflectance * hex_to_linear_rgb(table.floor_colour)
    room = table.build(fabric, floor)
    surfaces = [replace(s, open=1.0) if s.name in table.open else s for s in room.surfaces]
    return replace(room, surfaces=tuple(surfaces))
