"""The room of a scene file."""

from __future__ import annotations

from dataclasses import replace

from glint.photometry.colour import hex_to_linear_rgb
from glint.room.bell import bell
from glint.room.dome import dome
from glint.room.hall import hall
from glint.room.room import Room
from glint.room.surface import Floats
from glint.schema.tables import RoomTable


def build_room(table: RoomTable) -> Room:
    """The surfaces of a filled room table."""
    fabric = table.reflectance * hex_to_linear_rgb(table.fabric_colour)
    floor = table.floor_reflectance * hex_to_linear_rgb(table.floor_colour)
    room = _plain(table, fabric, floor)
    surfaces = [replace(s, open=1.0) if s.name in table.open else s for s in room.surfaces]
    return replace(room, surfaces=tuple(surfaces))


def _plain(table: RoomTable, fabric: Floats, floor: Floats) -> Room:
    """The room with all its surfaces closed."""
    ambient = table.ambient_lux
    match table.kind:
        case "dome":
            return dome(
                table.radius_m,
                table.rise_m,
                table.wall_m,
                fabric,
                floor,
                ambient,
                table.frequency,
                table.tube_mm / 1000.0,
                table.open_share,
                table.seed,
            )
        case "bell":
            pole = table.pole_mm / 1000.0
            return bell(table.radius_m, table.rise_m, table.wall_m, pole, fabric, floor, ambient)
        case "hall":
            return hall(table.length_m, table.width_m, table.height_m, fabric, floor, ambient)
