"""How cord or bar take hold of a ball: a drawing and plain words for each way of hanging.

All of it is common practice in rigging small things: a bar or a plate spreads the load over whole
panels, glue alone bears nothing, and the safety line goes its own way.
"""

from __future__ import annotations

from typing import NamedTuple

from glint.shape.hold import HoldKind

_BODY = {
    "vertex": "M100 62L166 102L148 176L52 176L34 102Z",
    "edge": "M100 62L166 102L148 176L52 176L34 102Z",
    "face": "M52 70L148 70L172 124L142 178L58 178L28 124Z",
    "opening": "M66 66L28 124L58 178L142 178L172 124L134 66",
    "corners": "M58 70L28 124L58 178L142 178L172 124L142 70",
}
_CORD = '<path class="cord" d="{}"/>'
_HOOK = (
    '<path class="steel" d="M84 8H116M100 8V14a6 6 0 1 0 6 6"/>'
    '<path class="steel" d="M146 8H178M162 8V14a6 6 0 1 0 6 6"/>'
)


class Way(NamedTuple):
    """title: what takes hold; drawing: inside an SVG of 200 by 200 units, a cut through the axis;
    words: what each label of the drawing is, and how it is done.
    """

    title: str
    drawing: str
    words: tuple[str, ...]


def _label(number: int, x: int, y: int, to: str) -> str:
    """A number in a ring, and a thin line to what it is about."""
    return (
        f'<path class="lead" d="M{x} {y}L{to}"/><circle class="ring" cx="{x}" cy="{y}" r="8"/>'
        f'<text x="{x}" y="{y + 4}">{number}</text>'
    )


def _shell(kind: str) -> str:
    return f'<path class="shell" d="{_BODY[kind]}"/>'


_SAFETY = (
    "the safety line, slack, from the same bar or plate to a point of its own: it holds when hook, "
    "cord or knot do not"
)

_THROUGH = (
    _HOOK + _CORD.format("M100 26V88") + '<path class="safety" d="M162 26C176 60 112 50 108 86"/>'
)

WAYS: dict[HoldKind, Way] = {
    "vertex": Way(
        "Through a corner",
        _shell("vertex")
        + _THROUGH
        + '<path class="bar" d="M72 88H128"/><circle class="knot" cx="100" cy="95" r="5"/>'
        + '<circle class="knot" cx="108" cy="95" r="4"/>'
        + _label(1, 64, 44, "96 46")
        + _label(2, 26, 74, "74 87")
        + _label(3, 100, 128, "100 101")
        + _label(4, 178, 66, "160 50"),
        (
            "the cord, through a hole where the corners come together, its edge smoothed",
            "inside, a bar or round plate with a hole, wider than the hole in the corner: it bears "
            "up against all panels that meet there, not against one",
            "a stopper knot under it, or a thimble and a crimped sleeve, put in before the last "
            "panels close the body",
            _SAFETY,
        ),
    ),
    "edge": Way(
        "Through an edge",
        _shell("edge")
        + _THROUGH
        + '<path class="bar" d="M66 94H134"/><circle class="knot" cx="100" cy="101" r="5"/>'
        + '<circle class="knot" cx="108" cy="101" r="4"/>'
        + _label(1, 64, 44, "96 46")
        + _label(2, 26, 74, "68 93")
        + _label(3, 100, 134, "100 107")
        + _label(4, 178, 66, "160 50"),
        (
            "the cord, through a hole in the middle of the edge, half in each panel",
            "inside, a bar square across the edge, so that it bears up against both panels",
            "a stopper knot under it, or a thimble and a crimped sleeve, put in before the last "
            "panels close the body",
            _SAFETY,
        ),
    ),
    "face": Way(
        "Through a panel",
        _shell("face")
        + _HOOK
        + _CORD.format("M100 26V48")
        + '<path class="safety" d="M162 26C176 52 116 40 107 53"/>'
        + '<circle class="steel" cx="100" cy="55" r="7"/><path class="steel" d="M100 62V92"/>'
        + '<path class="bar" d="M78 66H122M70 75H130"/><path class="nut" d="M93 79h14v8h-14z"/>'
        + _label(1, 64, 36, "96 40")
        + _label(2, 24, 62, "76 66")
        + _label(3, 100, 126, "100 94")
        + _label(4, 178, 66, "160 46"),
        (
            "the cord, on a closed eye bolt through the middle of the panel; leave this tile off, "
            "or have its hole drilled before it is glued",
            "wide washers on both sides, the lower one a plate nearly as wide as the panel",
            "a lock nut, with thread showing under it",
            _SAFETY.replace("bar or plate", "eye, or better a second one,"),
        ),
    ),
    "opening": Way(
        "A bar across the opening",
        _shell("opening")
        + _HOOK
        + _CORD.format("M100 26V84")
        + '<path class="safety" d="M162 26C178 58 126 52 118 84"/>'
        + '<path class="bar" d="M62 86H138"/><circle class="knot" cx="100" cy="86" r="6"/>'
        + '<circle class="knot" cx="118" cy="86" r="5"/>'
        + _label(1, 64, 44, "96 48")
        + _label(2, 18, 78, "60 86")
        + _label(3, 100, 126, "100 93")
        + _label(4, 184, 62, "164 48"),
        (
            "the cord",
            "a bar of metal or hardwood, longer than the opening is wide, put in aslant: it lies "
            "inside and bears up against the panels on both sides of the rim; notch it, or tie it, "
            "so that it cannot slide",
            "a hitch round the middle of the bar, backed up by a stopper knot",
            _SAFETY,
        ),
    ),
    "corners": Way(
        "By the highest corners",
        _shell("corners")
        + _HOOK
        + _CORD.format("M100 26V40L58 66M100 40L142 66")
        + '<path class="safety" d="M162 26C178 44 160 54 144 70"/>'
        + '<path class="bar" d="M54 82H80M120 82H146"/><path class="cord" d="M60 66L64 82M140 66L136 82"/>'
        + '<circle class="knot" cx="64" cy="87" r="4"/><circle class="knot" cx="136" cy="87" r="4"/>'
        + _label(1, 60, 32, "96 34")
        + _label(2, 22, 78, "52 82")
        + _label(3, 100, 96, "100 44")
        + _label(4, 186, 66, "164 50"),
        (
            "the cord, parted above the body: no axis runs through a panel at its top",
            "legs of equal length, each round a bar or plate inside that bears up against the "
            "panels of its corner",
            "a ring or thimble where the legs part; the flatter they lie, the harder they pull",
            _SAFETY,
        ),
    ),
    "pole": Way(
        "By the pole of the core",
        '<circle class="shell tiled" cx="100" cy="126" r="56"/>'
        + _HOOK
        + _CORD.format("M100 26V52")
        + '<path class="safety" d="M162 26C178 50 114 40 106 56"/>'
        + '<circle class="steel" cx="100" cy="58" r="6"/><path class="steel" d="M100 64V84"/>'
        + '<path class="bar" d="M82 70H118M76 78H124"/>'
        + _label(1, 64, 36, "96 40")
        + _label(2, 24, 62, "80 70")
        + _label(3, 100, 122, "100 84")
        + _label(4, 182, 70, "162 48"),
        (
            "the cord, or the motor's hook, on the eye at the pole",
            "the core's own fitting; if it has none, a plate inside and one outside",
            "the fitting goes through the shell: a hook that is only screwed into foam or plaster "
            "holds nothing",
            _SAFETY.replace("bar or plate", "fitting, or better a second one,"),
        ),
    ),
}


def way_svg(kind: HoldKind) -> str:
    """The drawing of a way of hanging as the text of an SVG."""
    way = WAYS[kind]
    return (
        '<svg class="hold" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 190" role="img" '
        f'aria-label="{way.title}: a cut through the ball, its numbers told beside">'
        f"{way.drawing}</svg>"
    )
