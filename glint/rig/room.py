"""The room of a scene file, put up."""

from __future__ import annotations

from dataclasses import replace

from glint.light.colour import hex_to_linear_rgb
from glint.room.bell import bell
from glint.room.dome import dome
from glint.room.hall import hall
from glint.room.space import Room
from glint.scene.model import RoomTable


def put_up(table: RoomTable) -> Room:
    """The surfaces of a filled room table."""
    fabric = table.reflectance * hex_to_linear_rgb(table.fabric_colour)
    floor = table.floor_reflectance * hex_to_linear_rgb(table.floor_colour)
    ambient = table.ambient_lux
    if table.kind == "hall":
        room = hall(table.length_m, table.width_m, table.height_m, fabric, floor, ambient)
    elif table.kind == "bell":
        pole = table.pole_mm / 1000.0
        room = bell(table.radius_m, table.rise_m, table.wall_m, pole, fabric, floor, ambient)
    else:
        room = dome(
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
    surfaces = [replace(s, open=1.0) if s.name in table.open else s for s in room.surfaces]
    return replace(room, surfaces=tuple(surfaces))
