"""How cord or bar take hold of a ball: a drawing and plain words for each way of hanging.

All of it is common practice in rigging small things: a bar or a plate spreads the load over whole
panels, glue alone bears nothing, and the safety line goes its own way.
"""

from __future__ import annotations

from typing import NamedTuple

from glint.shape.hold import HoldKind


class Way(NamedTuple):
    """title: what takes hold; drawing: elements of an SVG of 200 by 190 units, a cut through the
    axis; words: what each number of the drawing is, and how it is done.
    """

    title: str
    drawing: tuple[str, ...]
    words: tuple[str, ...]


def way_svg(kind: HoldKind) -> str:
    """The drawing of a way of hanging as the text of an SVG."""
    way = WAYS[kind]
    return (
        '<svg class="hold" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 190" role="img" '
        f'aria-label="{way.title}: a cut through the ball, its numbers told beside">'
        f"{''.join(way.drawing)}</svg>"
    )


def _path(kind: str, course: str) -> str:
    return f'<path class="{kind}" d="{course}"/>'


def _circle(kind: str, x: int, y: int, radius: int) -> str:
    return f'<circle class="{kind}" cx="{x}" cy="{y}" r="{radius}"/>'


def _label(number: int, x: int, y: int, to: str) -> str:
    """A number in a ring, and a thin line to what it is about."""
    text = f'<text x="{x}" y="{y + 4}">{number}</text>'
    return _path("lead", f"M{x} {y}L{to}") + _circle("ring", x, y, 8) + text


_HOOKS = _path("steel", "M84 8H116M100 8V14a6 6 0 1 0 6 6M146 8H178M162 8V14a6 6 0 1 0 6 6")
"""Two points to hang from: the second is the safety line's."""

_POINTED = _path("shell", "M100 62L166 102L148 176L52 176L34 102Z")

_SAFETY = (
    "the safety line, slack, from {} to a point of its own: it holds when hook, cord or knot do not"
)

_STOPPER = (
    "a stopper knot under it, or a thimble and a crimped sleeve, put in before the last panels "
    "close the body"
)

WAYS: dict[HoldKind, Way] = {
    "vertex": Way(
        "Through a corner",
        (
            _POINTED,
            _HOOKS,
            _path("cord", "M100 26V93"),
            _path("safety", "M162 26C176 60 112 50 109 93"),
            _path("bar", "M74 86H126"),
            _circle("knot", 100, 94, 5),
            _circle("knot", 109, 94, 4),
            _label(1, 64, 44, "96 46"),
            _label(2, 26, 74, "73 86"),
            _label(3, 100, 128, "100 100"),
            _label(4, 178, 66, "160 50"),
        ),
        (
            "the cord, through a hole where the corners come together, its edge smoothed",
            "inside, a bar or round plate with a hole, wider than the hole in the corner: it bears "
            "up against all panels that meet there, not against one",
            _STOPPER,
            _SAFETY.format("the same bar or plate"),
        ),
    ),
    "edge": Way(
        "Through an edge",
        (
            _POINTED,
            _HOOKS,
            _path("cord", "M100 26V97"),
            _path("safety", "M162 26C176 60 112 50 109 97"),
            _path("bar", "M66 90H134"),
            _circle("knot", 100, 98, 5),
            _circle("knot", 109, 98, 4),
            _label(1, 64, 44, "96 46"),
            _label(2, 22, 74, "65 90"),
            _label(3, 100, 132, "100 104"),
            _label(4, 178, 66, "160 50"),
        ),
        (
            "the cord, through a hole in the middle of the edge, half in each panel",
            "inside, a bar square across the edge, so that it bears up against both panels",
            _STOPPER,
            _SAFETY.format("the same bar"),
        ),
    ),
    "face": Way(
        "Through a panel",
        (
            _path("shell", "M52 70L148 70L172 124L142 178L58 178L28 124Z"),
            _HOOKS,
            _path("cord", "M100 26V48"),
            _path("safety", "M162 26C176 52 116 40 107 53"),
            _circle("steel", 100, 55, 7),
            _path("steel", "M100 62V94"),
            _path("bar", "M78 65H122M64 76H136"),
            _path("nut", "M93 80h14v8h-14z"),
            _label(1, 64, 36, "96 40"),
            _label(2, 22, 70, "62 76"),
            _label(3, 100, 126, "100 96"),
            _label(4, 178, 66, "160 46"),
        ),
        (
            "the cord, on a closed eye bolt through the middle of the panel; leave this tile off, "
            "or have its hole drilled before it is glued",
            "wide washers on both sides, the lower one a plate nearly as wide as the panel",
            "a lock nut, with thread showing under it",
            _SAFETY.format("the same eye, or better a second one,"),
        ),
    ),
    "opening": Way(
        "A bar across the opening",
        (
            _path("shell", "M66 66L28 124L58 178L142 178L172 124L134 66"),
            _HOOKS,
            _path("cord", "M100 26V84"),
            _path("safety", "M162 26C178 58 126 52 118 84"),
            _path("bar", "M60 86H140"),
            _circle("knot", 100, 86, 6),
            _circle("knot", 118, 86, 5),
            _label(1, 64, 44, "96 48"),
            _label(2, 18, 76, "60 86"),
            _label(3, 100, 126, "100 93"),
            _label(4, 184, 62, "164 48"),
        ),
        (
            "the cord",
            "a bar of metal or hardwood, longer than the opening is wide, put in aslant: it lies "
            "inside and bears up against the panels on both sides of the rim; notch it, or tie it, "
            "so that it cannot slide",
            "a hitch round the middle of the bar, backed up by a stopper knot",
            _SAFETY.format("the same bar"),
        ),
    ),
    "corners": Way(
        "By the highest corners",
        (
            _path("shell", "M50 66L28 124L58 178L142 178L172 124L150 66"),
            _path("shell", "M50 66L74 116L84 178M150 66L126 116L116 178"),
            _HOOKS,
            _path("cord", "M100 26V40L50 66V84M100 40L150 66V84"),
            _path("safety", "M162 26C186 44 176 60 156 84"),
            _path("bar", "M44 84H58M142 84H158"),
            _circle("knot", 50, 90, 4),
            _circle("knot", 150, 90, 4),
            _label(1, 64, 26, "96 32"),
            _label(2, 14, 72, "43 84"),
            _label(3, 100, 76, "100 44"),
            _label(4, 190, 76, "173 60"),
        ),
        (
            "the cord, parted above the body: no panel lies across the axis at its top",
            "legs of equal length, each through the body round a bar or plate inside that bears up "
            "against the panels of its corner",
            "a ring or thimble where the legs part; the flatter they lie, the harder they pull",
            _SAFETY.format("one of the bars"),
        ),
    ),
    "pole": Way(
        "By the pole of the core",
        (
            _circle("shell tiled", 100, 128, 54),
            _HOOKS,
            _path("cord", "M100 26V54"),
            _path("safety", "M162 26C178 50 114 44 107 59"),
            _circle("steel", 100, 60, 6),
            _path("steel", "M100 66V94"),
            _path("bar", "M86 68H114M76 86H124"),
            _label(1, 64, 36, "96 40"),
            _label(2, 24, 62, "85 68"),
            _label(3, 100, 126, "100 96"),
            _label(4, 182, 70, "162 48"),
        ),
        (
            "the cord, or the motor's hook, on the eye at the pole",
            "the core's own fitting; if it has none, a plate outside and one inside",
            "the fitting goes through the shell: a hook that is only screwed into foam or plaster "
            "holds nothing",
            _SAFETY.format("the same fitting, or better a second one,"),
        ),
    ),
}
