"""The floor."""

from __future__ import annotations

from typing import Any

from glint.render.views.view import MapView


class Floor(MapView):
    """The floor, +y up and +x to the right."""

    name = "floor"
    words = "the floor from above"

    def seen(self, room: Any) -> tuple[str, ...]:
        """As in View."""
        return (room.floor.name,)
