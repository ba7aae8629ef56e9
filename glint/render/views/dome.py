"""What is overhead."""

from __future__ import annotations

from typing import Any

from glint.render.views.view import MapView


class Dome(MapView):
    """A dome, a bell's roof, a hall's ceiling, a yurt's roof with its crown in the middle."""

    name = "dome"
    words = "what is overhead, as seen lying on one's back"

    def seen(self, room: Any) -> tuple[str, ...]:
        """As in View."""
        return room.overhead.names
