"""The views of a scene, a file each: the one place that names them all."""

from __future__ import annotations

from glint.errors import Problem, UsageError, in_words, listed, nearest_spelling
from glint.render.views.dome import Dome
from glint.render.views.eye import Eye
from glint.render.views.floor import Floor
from glint.render.views.view import View
from glint.render.views.wall import Wall

VIEWS: dict[str, View] = {view.name: view for view in (Dome(), Floor(), Wall(), Eye())}
"""Every view by its name."""


def view_of(name: str) -> View:
    """The view of a name. Raises UsageError, with what is allowed."""
    if isinstance(name, str) and name in VIEWS:
        return VIEWS[name]
    nearest = nearest_spelling(name, VIEWS) if isinstance(name, str) else None
    raise UsageError(str(Problem("view", in_words(name), listed(VIEWS), nearest)))
