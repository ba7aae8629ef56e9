"""The views of a scene, a file each: the one place that names them all."""

from __future__ import annotations

from glint.errors import require_choice
from glint.render.views.dome import Dome
from glint.render.views.eye import Eye
from glint.render.views.floor import Floor
from glint.render.views.view import View
from glint.render.views.wall import Wall

VIEWS: dict[str, View] = {view.name: view for view in (Dome(), Floor(), Wall(), Eye())}
"""Every view by its name."""

SIZES = {"square": (1080, 1080), "upright": (1080, 1920), "wide": (1920, 1080)}
"""Sizes by name, pixels, for what is shared: common practice on telephones and screens."""


def view_of(name: str) -> View:
    """The view of a name. Raises UsageError, with what is allowed."""
    return VIEWS[require_choice("view", name, VIEWS)]
