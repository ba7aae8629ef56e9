"""The cautions, kept here alone: build sheet and report print them, the README quotes them."""

from __future__ import annotations

from typing import NamedTuple


class Caution(NamedTuple):
    """What it is about, and what to do."""

    about: str
    advice: str


DEFERENCE = (
    "These are reminders, not rules. Local codes come first, and work that they reserve for "
    "licensed people is for licensed people."
)

CAUTIONS = (
    Caution(
        "Loads overhead",
        "Have a competent rigger hang anything over people: hardware rated for the load, and a "
        "second, independent safety line to a point of its own. Both go to the structure, never to "
        "fabric.",
    ),
    Caution(
        "Work at height",
        "Use a platform or a ladder that is footed and held. Never hang a ball alone, or with "
        "anybody underneath.",
    ),
    Caution(
        "Glass",
        "Cut mirrors have sharp edges. Wear gloves and eye protection, and dull the edges. Look "
        "for loose tiles before every show.",
    ),
    Caution(
        "Glue",
        "Solvent glues give off vapours that catch fire and stupefy. Work in moving air, keep "
        "flames and sparks away, and do as the tube says.",
    ),
    Caution(
        "Hot lamps",
        "Keep lamps clear of fabric by the distance that their maker states, and never leave them "
        "on unwatched.",
    ),
    Caution(
        "Electricity",
        "Out of doors use only gear made for the wet, behind a residual-current device; mains "
        "work is for electricians. Keep batteries dry, fused and in sight while they charge.",
    ),
    Caution(
        "Wind",
        "A dome moves, and a ball swings. Keep people out of its reach, and take it down before a "
        "storm.",
    ),
    Caution(
        "Flicker",
        "Moving spots flash past the eye. Warn guests beforehand, and keep slow and dim where "
        "anyone may be photosensitive.",
    ),
    Caution(
        "Lasers",
        "Never aim a laser at a mirror ball: its beam can reach an eye from any side.",
    ),
    Caution(
        "Sun",
        "Mirrors in sunlight can blind, and can set things alight. Cover the ball by day, or take "
        "it down.",
    ),
)


def as_markdown() -> str:
    """The cautions as the README has them."""
    rows = [f"- **{caution.about}.** {caution.advice}" for caution in CAUTIONS]
    return "\n".join([DEFERENCE, "", *rows])
