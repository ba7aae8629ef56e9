"""How the keys of a scene file go together.

These rules look at the tables as they were written, so they speak up even when other keys are
wrong; a value that is wrong by itself is left to the model, and no rule here judges it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from glint.errors import Problem, in_words, listed, place, problem_at
from glint.files.read import MESH_ENDINGS, unfit_name
from glint.files.table import Table
from glint.photometry.readers import endings
from glint.photometry.tables import LampTable
from glint.room.kinds import DEFAULT
from glint.room.table import RoomTable
from glint.schema.describe import (
    Bounds,
    allowed_at,
    bounds_of,
    kind_of,
    range_in_words,
    spot_at,
    tables_in,
)
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
from glint.shape.tables import TileTable, WorkshopTable

WIDEST_FIELD = 3.3
"""Most times the beam that the field may be: beyond, the beam would have a spike on its axis."""

_KEYS_OF_BASES = tuple(dict.fromkeys(key for base in BASES.values() for key in base.keys))
"""Keys of a shape that go with some bases only, and with no mesh."""

FREE_KEYS = {
    "ball": ("height_m", "x_m", "y_m", "rpm", "diameter_m", "panel_edge_mm"),
    "lamp": ("x_m", "y_m", "z_m", "aim_x_m", "aim_y_m", "aim_z_m", "beam_deg"),
}
"""What may be free of a ball, and of a lamp."""

_OPENING = '"opening" only for a shape with a step { do = "open", sides = ... }'

MOTION_NEEDS = {
    "swing_towards_deg": "swing_deg",
    "swing_phase_deg": "swing_deg",
    "twist_period_s": "twist_turns",
    "twist_phase_deg": "twist_turns",
}
"""The key that each further key of a motion goes with."""

SLOWEST_RPM = 1e-6
"""Least speed of a ball that turns at all: once in two years."""

NARROWEST_MM = 0.01
"""Least width of a seam or cut, or diameter of a hole, if there is one: nobody makes finer ones."""

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

_FURTHEST = 1e9  # beyond it no number is right, and a whole one may be too long for a float

Raw = dict[str, Any]


def check(scene: Raw) -> Iterator[Problem]:
    """Every problem of keys that do not go together, in the tables of a scene file."""
    if isinstance(scene.get("room"), dict):
        yield from _room(scene["room"])
    yield from _tile(_table(scene, "tile"), {}, ("tile",))
    yield from _workshop(_table(scene, "workshop"))
    balls = _tables(scene, "ball", MOST_BALLS)
    yield from _names(balls)
    for index, ball in balls:
        yield from _tile(_table(ball, "tile"), _table(scene, "tile"), ("ball", index, "tile"))
        if isinstance(ball.get("shape"), dict):
            yield from _shape(ball["shape"], ("ball", index, "shape"))
        yield from _hang(ball, index)
        yield from _motion(_table(ball, "motion"), ("ball", index, "motion"))
    names = [ball_name(ball, index) for index, ball in balls]
    for index, lamp in _tables(scene, "lamp", MOST_LAMPS):
        yield from _lamp(lamp, index, names)
    for index, one in _tables(scene, "candidate", MOST_CANDIDATES):
        path = ("candidate", index)
        yield from _tile(_table(one, "tile"), _table(scene, "tile"), (*path, "tile"))
        yield from _shape(_table(one, "shape"), (*path, "shape"))
        if one.get("by") == "opening" and not has_opening(_table(one, "shape")):
            yield problem_at((*path, "by"), "opening", _OPENING)
    lamps = [
        lamp.get("name", default_name("lamp", i)) for i, lamp in _tables(scene, "lamp", MOST_LAMPS)
    ]
    for index, free in _tables(scene, "free", MOST_FREE):
        yield from _free(free, index, {"ball": names, "lamp": lamps or [default_name("lamp", 0)]})
    for index, string in _tables(scene, "string", MOST_STRINGS):
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


def ball_name(ball: Raw, index: int) -> Any:
    """A ball's name as written, or else the one it gets."""
    return ball.get("name", default_name("ball", index))


def default_name(kind: str, index: int) -> str:
    """The name of a nameless ball or lamp, as "ball 1"; index: from 0."""
    return f"{kind} {index + 1}"


def _room(room: Raw) -> Iterator[Problem]:
    field = SceneFile.model_fields["room"]
    kind = room.get("kind", DEFAULT)
    kinds = {kind_of(one): one for one in tables_in(field.annotation)}
    table = kinds.get(kind) if isinstance(kind, str) else None
    if table is None or not issubclass(table, RoomTable):
        return
    given = room.get("open", ())
    for name in given if isinstance(given, list | tuple) else ():
        if isinstance(name, str) and name not in table.SURFACES:
            allowed = f"names of {listed(table.SURFACES)}"
            yield problem_at(("room", "open"), name, allowed, table.SURFACES)
    for key, (other, why) in table.BESIDE.items():
        value = _number(table, room, key)
        if value and not _number(table, room, other):
            allowed = f"{key} only with a {other}: {why}"
            yield problem_at(("room", key), value, allowed)
    for key, share in table.SHARES.items():
        value, whole = _number(table, room, key), _number(table, room, share.of)
        if value is None or whole is None:
            continue
        least = max(share.least * whole, bounds_of(table.model_fields[key]).least)
        bounds = Bounds(least, share.most * whole, above=False)
        if not bounds.holds(value):
            shares = f"{share.least:g} to {share.most:g} times {share.of}"
            allowed = f"a number of metres {range_in_words(bounds)} ({shares})"
            yield problem_at(("room", key), value, allowed)


def _tile(own: Raw, scene: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    if not own:
        return
    both = {**scene, **own}
    joint = _pair(own.get("joint_deg"))
    if joint is not None and not joint[0] < joint[1]:
        yield problem_at((*path, "joint_deg"), own["joint_deg"], "the smaller angle first")
    edge, panel = _number(TileTable, both, "edge_mm"), _number(TileTable, both, "panel_edge_mm")
    yield from _openings(both, path, panel, _number(TileTable, both, "hole_mm"))
    if edge is None or panel is None or edge <= panel:
        return
    if "edge_mm" in own:
        allowed = f"at most the panel's edge, panel_edge_mm = {in_words(panel)}"
        yield problem_at((*path, "edge_mm"), edge, allowed)
    elif "panel_edge_mm" in own:
        allowed = f"at least the tile's edge, edge_mm = {in_words(edge)}"
        yield problem_at((*path, "panel_edge_mm"), panel, allowed)


def _openings(
    tile: Raw, path: tuple[str | int, ...], panel: float | None, hole: float | None
) -> Iterator[Problem]:
    """A triangular panel must keep some of every side, and more than its hole: its inscribed
    circle has a radius of edge / (2 sqrt 3)."""
    seam, cut = _number(TileTable, tile, "seam_mm"), _number(TileTable, tile, "corner_cut_mm")
    for key, width in (("seam_mm", seam), ("corner_cut_mm", cut), ("hole_mm", hole)):
        if width is not None and 0.0 < width < NARROWEST_MM:
            yield problem_at((*path, key), width, f"0, or at least {NARROWEST_MM:g} mm")
    if panel is None or seam is None or cut is None or hole is None:
        return
    widest = panel / math.sqrt(3.0)
    if seam >= widest:
        allowed = f"less than {widest:.2f} mm, or nothing is left of a panel of {in_words(panel)}"
        yield problem_at((*path, "seam_mm"), seam, allowed)
    elif 2.0 * cut >= panel:
        allowed = f"less than half the panel's edge, panel_edge_mm = {in_words(panel)}"
        yield problem_at((*path, "corner_cut_mm"), cut, allowed)
    elif hole >= widest - seam:
        allowed = f"less than {widest - seam:.2f} mm, what the seams leave of a triangle's height"
        yield problem_at((*path, "hole_mm"), hole, allowed)


def _workshop(workshop: Raw) -> Iterator[Problem]:
    handling = _number(WorkshopTable, workshop, "handling_h")
    full = _number(WorkshopTable, workshop, "full_cure_h")
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
    hang, path = _table(ball, "hang"), ("ball", index, "hang")
    shape = _table(ball, "shape")
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
    if hang.get("by") == "opening" and not has_opening(_table(ball, "shape")):
        yield problem_at((*path, "by"), "opening", _OPENING)


def _motion(motion: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    for key, needed in MOTION_NEEDS.items():
        if key in motion and needed not in motion:
            yield problem_at((*path, key), motion[key], f"{key} only beside {needed}")
    rpm = _number(MotionTable, motion, "rpm") if "rpm" in motion else None
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
    if isinstance(colour, str) and colour == "#000000":
        yield problem_at((*path, "colour"), colour, "any colour but black, which gives no light")


def _free(free: Raw, index: int, names: dict[str, list[Any]]) -> Iterator[Problem]:
    path = ("free", index)
    given = [kind for kind in FREE_KEYS if kind in free]
    if len(given) != 1:
        found = "both ball and lamp" if given else "neither ball nor lamp"
        yield Problem(place(path), found, "one of them: whose number is free")
        return
    kind = given[0]
    name, key, least, most = (free.get(part) for part in (kind, "key", "least", "most"))
    known = [known for known in names[kind] if isinstance(known, str)]
    if isinstance(name, str) and name not in known:
        yield problem_at((*path, kind), name, f"a {kind}'s name ({listed(known)})", known)
    if isinstance(key, str) and key not in FREE_KEYS[kind]:
        yield problem_at(
            (*path, "key"), key, f"of a {kind}: {listed(FREE_KEYS[kind])}", FREE_KEYS[kind]
        )
    if isinstance(least, int | float) and isinstance(most, int | float) and not least < most:
        yield problem_at((*path, "most"), most, f"a number above least = {in_words(least)}")


def _string(string: Raw, index: int, names: list[Any]) -> Iterator[Problem]:
    path = ("string", index)
    if "kelvin" in string and "colour" in string:
        found = f"{in_words(string['colour'])} beside kelvin"
        yield Problem(place((*path, "colour")), found, "only one of kelvin and colour")
    ball, lay, colour = string.get("ball"), string.get("lay"), string.get("colour")
    if isinstance(ball, str) and ball not in names:
        known = [name for name in names if isinstance(name, str)]
        yield problem_at((*path, "ball"), ball, f"a ball's name ({listed(known)})", known)
    if colour == "#000000" or (isinstance(colour, list | tuple) and "#000000" in colour):
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
    beam, field = _number(LampTable, lamp, "beam_deg"), _number(LampTable, lamp, "field_deg")
    if beam is None or field is None:
        return
    bounds = Bounds(beam, WIDEST_FIELD * beam, above=True)
    if not bounds.holds(field):
        allowed = f"a number of degrees {range_in_words(bounds)} (beam_deg to 3.3 times beam_deg)"
        yield problem_at((*path, "field_deg"), field, allowed)


def _table(parent: Raw, key: str) -> Raw:
    """A table as written; empty if it is missing or is none."""
    value = parent.get(key)
    return value if isinstance(value, dict) else {}


def _tables(scene: Raw, key: str, most: int) -> list[tuple[int, Raw]]:
    """The tables of a list with their places from 0; at most so many."""
    value = scene.get(key)
    rows = value[:most] if isinstance(value, list | tuple) else []
    return [(index, row) for index, row in enumerate(rows) if isinstance(row, dict)]


def _pair(value: Any) -> list[float] | None:
    """Two numbers as written; None if there is anything else."""
    if not isinstance(value, list | tuple) or len(value) != 2:
        return None
    numbers = [
        float(v)
        for v in value
        if isinstance(v, int | float) and not isinstance(v, bool) and abs(v) <= _FURTHEST
    ]
    return numbers if len(numbers) == 2 else None


def _number(model: type[Table], table: Raw, key: str) -> float | None:
    """A number as written or by default; None if there is none, or one that the model refuses."""
    field = model.model_fields[key]
    value = table.get(key, field.default)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if bounds_of(field).holds(value) else None
