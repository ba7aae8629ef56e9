"""The words of a first scene: a scene file with comments that say what may be changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from glint.shape.tables import TileTable

if TYPE_CHECKING:
    from glint.build.first_scene import Answers

COLOURS = {
    "dome": ("#fff4e2", "#b8a27c"),
    "bell": ("#fff1d6", "#c9a877"),
    "yurt": ("#fff0d8", "#b98d5e"),
    "hall": ("#f0dcc0", "#d8b48a"),
}
"""Canvas or plaster, and floor, of each room."""


OF_ONE_KIND = {
    "dome": ("frequency = 4          # struts of a geodesic frame; 0 for none",),
    "hall": ("haze_per_m = 0.02      # shows the beams; 0 for clear air",),
}
"""Lines of one kind of room."""


class Lengths:
    """Writes lengths as `key_m = 2.0`, or in feet and inches."""

    def __init__(self, inches: bool) -> None:
        self.inches = inches

    def metres(self, stem: str, value: float | Sequence[float]) -> str:
        """A key for metres, or for feet."""
        return self._line(stem, "ft" if self.inches else "m", value, 1.0, 0.3048)

    def millimetres(self, stem: str, value: float) -> str:
        """A key for millimetres, or for inches."""
        return self._line(stem, "in" if self.inches else "mm", value, 1.0, 25.4)

    def _line(self, stem: str, unit: str, value: Any, plain: float, other: float) -> str:
        factor = other if self.inches else plain
        if isinstance(value, int | float):
            return f"{stem}_{unit} = {_number(value / factor)}"
        return f"{stem}_{unit} = [{', '.join(_number(one / factor) for one in value)}]"


def _number(value: float) -> str:
    """At most three decimals, and at least one."""
    text = f"{round(value, 3) + 0.0:.3f}".rstrip("0")
    return f"{text}0" if text.endswith(".") else text


def text_of(
    answers: Answers,
    sizes: Sequence[tuple[str, float]],
    bodies: Sequence[Any],
    lamps: Sequence[Any],
    eye: tuple[Sequence[float], Sequence[float]],
    tile: TileTable,
    spare: float,
    file: str,
) -> str:
    """The text of the file. sizes: keys of the room, without unit, and m. bodies, lamps: as
    `first_scene` places them. eye: where it is and where it looks, m."""
    put = Lengths(answers.inches)
    fabric, floor = COLOURS[answers.room]
    have = _tiles(answers.triangles, answers.squares)
    triangles = sum(body.chosen.triangles for body in bodies)
    squares = sum(body.chosen.squares for body in bodies)
    panel = put.millimetres("panel_edge", tile.panel_edge_mm)
    thick = put.millimetres("thickness", tile.thickness_mm)
    lines = [
        f"# A first evening in a {answers.room}, from {have}.",
        f"# The bodies below take {_tiles(triangles, squares)}; {spare:g} % are kept for breakage.",
        "# Change any number, and look again. Whatever is left out has a default: the reference of",
        "# the scene file lists every key.",
        'title = "Quince Night: a first evening"',
        "",
        "[room]",
        f'kind = "{answers.room}"',
        *(put.metres(key, value) for key, value in sizes),
        *OF_ONE_KIND.get(answers.room, ()),
        f'fabric_colour = "{fabric}"',
        f'floor_colour = "{floor}"',
        "reflectance = 0.65     # share of light that the fabric gives back; dark cloth gives 0.2",
        "ambient_lux = 0.12     # a few candles; spots pale where it is lighter",
        "",
        "[tile]                 # of all bodies",
        put.millimetres("edge", tile.edge_mm),
        f"{panel}  # the flat panels that tiles are glued on",
        f"{thick}  # thick tiles collide in sharp valleys",
    ]
    for body in bodies:
        lines += [
            "",
            "[[ball]]",
            f'name = "{body.name}"  # {_tiles(body.chosen.triangles, body.chosen.squares)}',
            f"shape = {body.chosen.shape}",
            f"hang = {{ {put.metres('height', body.height)}, {put.metres('at', body.at)} }}",
            f"motion = {{ rpm = {body.rpm:g} }}",
        ]
    for number, lamp in enumerate(lamps):
        lines += [
            "",
            "[[lamp]]",
            f'name = "lamp {number + 1}"',
            f"{put.metres('at', lamp.at)}",
            f'aim = "{lamp.aim.name}"',
            f"beam_deg = {lamp.beam:g}  # just wide enough for what it lights",
            f"peak_cd = {lamp.peak:g}",
            f'colour = "{lamp.colour}"',
        ]
    lines += [
        "",
        "[eye]                  # where a guest stands, for --view eye",
        put.metres("at", eye[0]),
        put.metres("look", eye[1]),
        "fov_deg = 84",
        "",
        "# What to try next:",
        *(f"#   {command:<44}{says}" for command, says in next_steps(file)),
    ]
    return "\n".join(lines) + "\n"


def next_steps(file: str) -> list[tuple[str, str]]:
    """Commands to go on with, and what they do."""
    stem = file.removesuffix(".toml")
    return [
        (f"glint check {file}", "what is in it"),
        (f"glint still {file}", "the roof overhead"),
        (f"glint still {file} --view eye", "what a guest sees"),
        (f"glint measure {file}", "how many spots, how even, how fast"),
        (f"glint loop {file} -o {stem}.mp4", "a film without a visible join"),
        (f"glint build {file}", "the sheet to build from"),
    ]


def _tiles(triangles: int, squares: int) -> str:
    parts = [
        f"{count} {kind}{'' if count == 1 else 's'}"
        for count, kind in ((triangles, "triangle"), (squares, "square"))
        if count
    ]
    return " and ".join(parts) or "no tiles"
