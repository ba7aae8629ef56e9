"""How the keys of a scene file go together.

These rules look at the tables as they were written, so they speak up even when other keys are
wrong; a value that is wrong by itself is left to the model, and no rule here judges it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from glint.errors import Problem, in_words, listed, place, problem_at
from glint.files.colours import colour_code
from glint.files.read import MESH_ENDINGS, unfit_name
from glint.photometry.readers import endings
from glint.photometry.tables import LampTable
from glint.room.kinds import DEFAULT
from glint.room.table import RoomTable
from glint.schema.check_free import check_free
from glint.schema.check_tile import check_tile
from glint.schema.describe import (
    Bounds,
    allowed_at,
    bounds_of,
    kind_of,
    range_in_words,
    spot_at,
    tables_in,
)
from glint.schema.raw import Raw, ball_name, default_name, number, table, tables
from glint.schema.tables import (
    MOST_BALLS,
    MOST_CANDIDATES,
    MOST_FREE,
    MOST_LAMPS,
    MOST_STRINGS,
    MotionTable,
    SceneFile,
)
from glint.shape.bases import BASES
from glint.shape.steps import STEPS
from glint.shape.tables import WorkshopTable

WIDEST_FIELD = 3.3
"""Most times the beam that the field may be: beyond, the beam would have a spike on its axis."""

_KEYS_OF_BASES = tuple(dict.fromkeys(key for base in BASES.values() for key in base.keys))
"""Keys of a shape that go with some bases only, and with no mesh."""

_OPENING = '"opening" only for a shape with a step { do = "open", sides = ... }'

MOTION_NEEDS = {
    "swing_towards_deg": "swing_deg",
    "swing_phase_deg": "swing_deg",
    "twist_period_s": "twist_turns",
    "twist_phase_deg": "twist_turns",
}
"""The key that each further key of a motion goes with."""

LOWEST_WALL_M = 0.001
"""Least height of an upright wall, if there is one: a lower one has no room for a map."""

_BLACK = "#000000"

SLOWEST_RPM = 1e-6
"""Least speed of a ball that turns at all: once in two years."""

MESH_KEYS = ("scale_mm", "tiles")
"""Keys of a shape that go with a mesh only."""

LAYS = {
    "bundle_mm": "bundle",
    "coil_mm": "coil",
    "coil_height_mm": "coil",
    "turns": "coil",
    "points_mm": "points",
}
"""How a string must lie for each key that says more of it."""


def check(scene: Raw) -> Iterator[Problem]:
    """Every problem of keys that do not go together, in the tables of a scene file."""
    if isinstance(scene.get("room"), dict):
        yield from _room(scene["room"])
    yield from check_tile(table(scene, "tile"), {}, ("tile",))
    yield from _workshop(table(scene, "workshop"))
    balls = tables(scene, "ball", MOST_BALLS)
    yield from _names(balls)
    for index, ball in balls:
        yield from check_tile(table(ball, "tile"), table(scene, "tile"), ("ball", index, "tile"))
        if isinstance(ball.get("shape"), dict):
            yield from _shape(ball["shape"], ("ball", index, "shape"))
        yield from _hang(ball, index)
        yield from _motion(table(ball, "motion"), ("ball", index, "motion"))
    names = [ball_name(ball, index) for index, ball in balls]
    for index, lamp in tables(scene, "lamp", MOST_LAMPS):
        yield from _lamp(lamp, index, names)
    for index, one in tables(scene, "candidate", MOST_CANDIDATES):
        path = ("candidate", index)
        yield from check_tile(table(one, "tile"), table(scene, "tile"), (*path, "tile"))
        if isinstance(one.get("shape"), dict):
            yield from _shape(one["shape"], (*path, "shape"))
        if one.get("by") == "opening" and not has_opening(table(one, "shape")):
            yield problem_at((*path, "by"), "opening", _OPENING)
    lamps = [
        lamp.get("name", default_name("lamp", i)) for i, lamp in tables(scene, "lamp", MOST_LAMPS)
    ]
    for index, free in tables(scene, "free", MOST_FREE):
        named = {"ball": names, "lamp": lamps or [default_name("lamp", 0)]}
        yield from check_free(free, index, named, scene)
    for index, string in tables(scene, "string", MOST_STRINGS):
        yield from _string(string, index, names)


def check_directions(scene: SceneFile) -> Iterator[Problem]:
    """Lamps and eyes of a filled scene that look at the very point where they stand."""
    centres = {ball.name: (*ball.hang.at_m, ball.hang.height_m) for ball in scene.ball}
    for index, lamp in enumerate(scene.lamp):
        aim = centres[lamp.aim] if isinstance(lamp.aim, str) else lamp.aim
        if aim == lamp.at_m:
            yield problem_at(("lamp", index, "aim"), lamp.aim, "a place other than the lamp's own")
    if scene.eye.at_m == scene.eye.look_m:
        yield problem_at(("eye", "look_m"), scene.eye.look_m, "a point other than at_m")


def _room(room: Raw) -> Iterator[Problem]:
    field = SceneFile.model_fields["room"]
    kinds = {kind_of(one): one for one in tables_in(field.annotation)}
    name = room.get("kind", DEFAULT)
    kind = kinds.get(name) if isinstance(name, str) else None
    if kind is None or not issubclass(kind, RoomTable):
        return
    walled = "wall_m" in room and "wall_m" in kind.model_fields
    wall = number(kind, room, "wall_m") if walled else None
    if wall is not None and 0.0 < wall < LOWEST_WALL_M:
        yield problem_at(("room", "wall_m"), wall, f"0, or at least {LOWEST_WALL_M:g} m")
    given = room.get("open", ())
    for name in given if isinstance(given, list | tuple) else ():
        if isinstance(name, str) and name not in kind.SURFACES:
            allowed = f"names of {listed(kind.SURFACES)}"
            yield problem_at(("room", "open"), name, allowed, kind.SURFACES)
    for key, (other, why) in kind.BESIDE.items():
        value = number(kind, room, key)
        if value and not number(kind, room, other):
            allowed = f"{key} only with a {other}: {why}"
            yield problem_at(("room", key), value, allowed)
    for key, share in kind.SHARES.items():
        value, whole = number(kind, room, key), number(kind, room, share.of)
        if value is None or whole is None:
            continue
        least = max(share.least * whole, bounds_of(kind.model_fields[key]).least)
        bounds = Bounds(least, share.most * whole, above=False)
        if not bounds.holds(value):
            shares = f"{share.least:g} to {share.most:g} times {share.of}"
            allowed = f"a number of metres {range_in_words(bounds)} ({shares})"
            yield problem_at(("room", key), value, allowed)


def _workshop(workshop: Raw) -> Iterator[Problem]:
    handling = number(WorkshopTable, workshop, "handling_h")
    full = number(WorkshopTable, workshop, "full_cure_h")
    if handling is None or full is None or handling <= full:
        return
    if "full_cure_h" in workshop:
        allowed = f"at least handling_h = {in_words(handling)}"
        yield problem_at(("workshop", "full_cure_h"), full, allowed)
    else:
        allowed = f"at most full_cure_h = {in_words(full)}"
        yield problem_at(("workshop", "handling_h"), handling, allowed)


def _names(balls: list[tuple[int, Raw]]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, ball in balls:
        name = ball_name(ball, index)
        if isinstance(name, str) and first.setdefault(name, index) != index:
            found = f"{in_words(name)}, the name of {place(('ball', first[name]))}"
            yield Problem(place(("ball", index, "name")), found, "a name that no other ball has")


def _shape(shape: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    base = shape.get("base")
    if "mesh" in shape:
        yield from _mesh(shape, path)
        return
    if "vertices_m" in shape or "faces" in shape:
        yield from _told_mesh(shape, path)
        return
    for key in MESH_KEYS:
        if key in shape:
            found = f"{in_words(shape[key])} without mesh"
            yield Problem(place((*path, key)), found, f"{key} only beside mesh")
    if "base" not in shape:
        allowed = f"{allowed_at(spot_at((*path, 'base')))}; or a mesh file as mesh"
        yield problem_at((*path, "base"), None, allowed)
    if not isinstance(base, str) or base not in BASES:
        return
    made = BASES[base]
    for key in _KEYS_OF_BASES:
        if key in shape and key not in made.keys:
            owners = [one.name for one in BASES.values() if key in one.keys]
            allowed = f"{key} only with base {' or '.join(map(in_words, owners))}"
            if len(owners) > len(BASES) / 2:
                allowed = f"no {key} with base {in_words(base)}"
            found = f"{in_words(shape[key])} with base {in_words(base)}"
            yield Problem(place((*path, key)), found, allowed)
    for key in made.needs:
        if key not in shape:
            allowed = f"{allowed_at(spot_at((*path, key)))}; base {in_words(base)} needs it"
            yield problem_at((*path, key), None, allowed)


def _told_mesh(shape: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    for key, other in (("vertices_m", "faces"), ("faces", "vertices_m")):
        if key not in shape:
            allowed = f"{allowed_at(spot_at((*path, key)))}; {other} needs it"
            yield problem_at((*path, key), None, allowed)
    for key in ("base", "scale_mm", *_KEYS_OF_BASES):
        if key in shape:
            found = f"{in_words(shape[key])} beside vertices_m"
            yield Problem(place((*path, key)), found, f"no {key}: the faces tell the whole shape")


def _mesh(shape: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    for key in ("base", "vertices_m", "faces", *_KEYS_OF_BASES):
        if key in shape:
            found = f"{in_words(shape[key])} beside mesh"
            yield Problem(place((*path, key)), found, f"no {key}: the file tells the whole shape")
    name = shape["mesh"]
    if not isinstance(name, str):
        return
    allowed = allowed_at(spot_at((*path, "mesh")))
    if (unfit := unfit_name(name)) is not None:
        yield Problem(place((*path, "mesh")), unfit, allowed)
    elif name.lower().rpartition(".")[2] not in MESH_ENDINGS or "." not in name:
        yield problem_at((*path, "mesh"), name, allowed)


def _hang(ball: Raw, index: int) -> Iterator[Problem]:
    hang, path = table(ball, "hang"), ("ball", index, "hang")
    shape = table(ball, "shape")
    if "mesh" in shape or "vertices_m" in shape:
        for key in ("by", "sides"):
            if key in hang:
                found = f"{in_words(hang[key])} with a mesh"
                allowed = f"no {key}: a mesh hangs as it stands in its file, +z up (+y in a .glb)"
                yield Problem(place((*path, key)), found, allowed)
        return
    if "sides" in hang and hang.get("by") != "face":
        allowed = 'sides only beside by = "face"'
        yield problem_at((*path, "sides"), hang["sides"], allowed)
    if hang.get("by") == "opening" and not has_opening(table(ball, "shape")):
        yield problem_at((*path, "by"), "opening", _OPENING)


def _motion(motion: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    for key, needed in MOTION_NEEDS.items():
        if key in motion and needed not in motion:
            yield problem_at((*path, key), motion[key], f"{key} only beside {needed}")
    rpm = number(MotionTable, motion, "rpm") if "rpm" in motion else None
    if rpm is not None and 0.0 < abs(rpm) < SLOWEST_RPM:
        allowed = f"0, or at least {SLOWEST_RPM:g} turns a minute either way"
        yield problem_at((*path, "rpm"), rpm, allowed)
    if "twist_turns" in motion and "twist_period_s" not in motion:
        allowed = f"{allowed_at(spot_at((*path, 'twist_period_s')))}; twist_turns needs it"
        yield problem_at((*path, "twist_period_s"), None, allowed)


def has_opening(shape: Raw) -> bool:
    """Whether the steps of a shape leave a face off."""
    steps = shape.get("steps")
    if not isinstance(steps, list | tuple):
        return False
    words = [step.get("do") for step in steps if isinstance(step, dict)]
    return any(isinstance(word, str) and word in STEPS and STEPS[word].opens for word in words)


def _lamp(lamp: Raw, index: int, names: list[Any]) -> Iterator[Problem]:
    path = ("lamp", index)
    for group in (("peak_cd", "lumens", "file"), ("kelvin", "colour")):
        given = [key for key in group if key in lamp]
        for key in given[1:]:
            found = f"{in_words(lamp[key])} beside {given[0]}"
            only_one = f"only one of {', '.join(group[:-1])} and {group[-1]}"
            yield Problem(place((*path, key)), found, only_one)
    yield from _widths(lamp, path)
    aim, file, colour = lamp.get("aim"), lamp.get("file"), lamp.get("colour")
    if isinstance(aim, str) and aim not in names:
        known = [name for name in names if isinstance(name, str)]
        allowed = f"a ball's name ({listed(known)}), or a point [x, y, z]"
        yield problem_at((*path, "aim"), aim, allowed, known)
    if isinstance(file, str) and (unfit := unfit_name(file)) is not None:
        yield Problem(place((*path, "file")), unfit, allowed_at(spot_at((*path, "file"))))
    elif isinstance(file, str) and not file.lower().endswith(endings()):
        # A scene from a stranger has no business with other files, to quote them in an error.
        yield problem_at((*path, "file"), file, allowed_at(spot_at((*path, "file"))))
    if colour_code(colour) == _BLACK:
        yield problem_at((*path, "colour"), colour, "any colour but black, which gives no light")


def _string(string: Raw, index: int, names: list[Any]) -> Iterator[Problem]:
    path = ("string", index)
    if "kelvin" in string and "colour" in string:
        found = f"{in_words(string['colour'])} beside kelvin"
        yield Problem(place((*path, "colour")), found, "only one of kelvin and colour")
    ball, lay, colour = string.get("ball"), string.get("lay"), string.get("colour")
    if isinstance(ball, str) and ball not in names:
        known = [name for name in names if isinstance(name, str)]
        yield problem_at((*path, "ball"), ball, f"a ball's name ({listed(known)})", known)
    colours = colour if isinstance(colour, list | tuple) else [colour]
    if _BLACK in map(colour_code, colours):
        yield problem_at((*path, "colour"), colour, "any colour but black, which gives no light")
    if lay is None:
        lay = "points" if "points_mm" in string else "bundle"
    for key, wanted in LAYS.items():
        if key in string and lay in LAYS.values() and lay != wanted:
            found = f"{in_words(string[key])} in a string that lies as {in_words(lay)}"
            allowed = f"{key} only with lay = {in_words(wanted)}"
            yield Problem(place((*path, key)), found, allowed)
    if lay == "points" and "points_mm" not in string:
        allowed = f'{allowed_at(spot_at((*path, "points_mm")))}; lay = "points" needs it'
        yield problem_at((*path, "points_mm"), None, allowed)
    if "points_mm" in string and "leds" in string:
        found = f"{in_words(string['leds'])} beside points_mm"
        yield Problem(place((*path, "leds")), found, "no leds: there is one at each point")


def _widths(lamp: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    if "file" in lamp:
        for key in ("beam_deg", "field_deg"):
            if key in lamp:
                found = f"{in_words(lamp[key])} beside file"
                yield Problem(place((*path, key)), found, f"no {key}: the file tells the width")
        return
    beam, field = number(LampTable, lamp, "beam_deg"), number(LampTable, lamp, "field_deg")
    if beam is None or field is None:
        return
    bounds = Bounds(beam, WIDEST_FIELD * beam, above=True)
    if not bounds.holds(field):
        allowed = f"a number of degrees {range_in_words(bounds)} (beam_deg to 3.3 times beam_deg)"
        yield problem_at((*path, "field_deg"), field, allowed)
