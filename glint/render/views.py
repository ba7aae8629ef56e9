"""The views of a scene. Kept by themselves, for the command line names them before it draws any."""

from __future__ import annotations

VIEWS = {
    "dome": "what is overhead, as seen lying on one's back",
    "floor": "the floor from above",
    "eye": "what somebody sees",
}
"""Every view by its name, and what it shows. All but "eye" are maps of one surface."""

SIZES = {"square": (1080, 1080), "upright": (1080, 1920), "wide": (1920, 1080)}
"""Sizes by name, pixels, for what is shared: common practice on telephones and screens."""
