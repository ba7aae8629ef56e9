"""Every way to get a scene wrong that we could think of, and what the maker is told."""

from __future__ import annotations

import pytest

from glint.errors import SceneError, listed
from glint.schema.read import parse, scene_of
from glint.shape.steps import STEPS

ROOM = "[room]\nradius_m = 4.0\n"
BALL = '[[ball]]\nname = "pear"\nshape = { base = "icosahedron" }\n'
GOOD = ROOM + BALL


def room(line: str) -> str:
    return ROOM + line + "\n" + BALL


def tile(lines: str) -> str:
    return GOOD + "[tile]\n" + lines


def ball(line: str) -> str:
    return GOOD + line + "\n"


def shape(table: str) -> str:
    return f"{ROOM}[[ball]]\nshape = {{ {table} }}\n"


def lamp(lines: str) -> str:
    return f"{GOOD}[[lamp]]\n{lines}\n"


def string(lines: str) -> str:
    return GOOD + f"[[string]]\n{lines}\n"


def eye(lines: str) -> str:
    return f"{GOOD}[eye]\n{lines}\n"


A_POINT = "allowed: a point [x, y, z] in metres, each from -200 to 200"
KINDS = listed(["dome", "bell", "hall", "yurt"])
DO = listed(STEPS)
ICOSA = 'with base "icosahedron"'
STEPS_KEYS = 'allowed: a table with the keys "do", "sides", "count"'

BAD = {
    # the file as a whole
    "empty": ("", "[room]: found nothing; allowed: a table [room]"),
    "no ball": (ROOM, "[[ball]]: found nothing; allowed: a list of 1 to 32 tables [[ball]]"),
    "no radius": (
        "[room]\n" + BALL,
        "[room] radius_m: found nothing; allowed: a number of metres from 0.5 to 100; kind = "
        '"dome" needs it',
    ),
    "no room but the key": ("room = 4\n" + BALL, "[room]: found 4; allowed: a table [room]"),
    "list of rooms": (
        "[[room]]\nradius_m = 4\n" + BALL,
        "[room]: found a list of 1 table; allowed: a table [room]",
    ),
    "one ball as a plain table": (
        ROOM + '[ball]\nshape = { base = "cube" }\n',
        "[[ball]]: found a table; allowed: a list of 1 to 32 tables [[ball]]",
    ),
    "balls as numbers": (
        "ball = [1]\n" + ROOM,
        '[[ball]] 1: found 1; allowed: a table with the keys "name", "shape", "tile"',
    ),
    "too many balls": (
        ROOM + '[[ball]]\nshape = { base = "cube" }\n' * 33,
        "[[ball]]: found a list of 33 tables; allowed: a list of 1 to 32 tables",
    ),
    "too many lamps": (GOOD + "[[lamp]]\n" * 1001, "allowed: a list of at most 1000 tables"),
    "plural": (
        ROOM + BALL.replace("[[ball]]", "[[balls]]"),
        'balls: found an unknown key; allowed: "title", "visible_contrast", "room", "tile", "ball"'
        ', "lamp", "string", "eye", "optics", "candidate", "free", "goal", "workshop"; '
        'did you mean "ball"?',
    ),
    "syntax": (
        GOOD + "[tile]\nedge_mm = = 3\n",
        'line 7: found "edge_mm = = 3" (column 11: invalid value); allowed: valid TOML',
    ),
    "syntax at the end": (
        GOOD + 'title = "open',
        "line 6: found the end of the file (unterminated string)",
    ),
    "duplicate key": (room("radius_m = 3"), 'line 3: found "radius_m = 3"'),
    "duplicate table": (
        GOOD + ROOM,
        'line 6: found "[room]" (column 6: cannot declare room twice)',
    ),
    "not UTF-8": (b"# pear\n\xff", "line 2: found the byte 0xff, which is not UTF-8"),
    "NUL": (b"\x00" * 20, "line 1: found"),
    "deep lists": ("x = " + "[" * 100000, "found lists or tables nested too deep"),
    "deep tables": ("x = " + "{a=" * 100000, "found lists or tables nested too deep"),
    "endless line": ("a." * 3000 + "b = 1", "line 1: found 3000 dots; allowed: at most 100"),
    "integer too long to read": (
        room("wall_m = " + "9" * 5000),
        "found a value that cannot be read (",
    ),
    "huge integer": (room("wall_m = " + "9" * 3900), "found a very large whole number"),
    # types and ranges
    "text for a number": (
        "[room]\nradius_m = '4.0'\n" + BALL,
        '[room] radius_m: found "4.0"; allowed: a number of metres from 0.5 to 100',
    ),
    "boolean for a number": (
        "[room]\nradius_m = true\n" + BALL,
        "[room] radius_m: found true; allowed: a number of metres from 0.5 to 100",
    ),
    "nan": (
        "[room]\nradius_m = nan\n" + BALL,
        "[room] radius_m: found nan; allowed: a number of metres from 0.5 to 100",
    ),
    "infinity": ("[room]\nradius_m = inf\n" + BALL, "[room] radius_m: found inf; allowed"),
    "minus infinity": (tile("edge_mm = -inf"), "[tile] edge_mm: found -inf; allowed: a number"),
    "date": (
        "[room]\nradius_m = 2021-09-24\n" + BALL,
        "[room] radius_m: found 2021-09-24; allowed: a number",
    ),
    "small room": ("[room]\nradius_m = 0.4\n" + BALL, "[room] radius_m: found 0.4; allowed"),
    "large room": ("[room]\nradius_m = 101\n" + BALL, "[room] radius_m: found 101; allowed"),
    "flat dome": (
        room("rise_m = 0.7"),
        "[room] rise_m: found 0.7; allowed: a number of metres from 0.8 to 4"
        " (0.2 to 1 times radius_m)",
    ),
    "tall dome": (room("rise_m = 4.1"), "[room] rise_m: found 4.1; allowed: a number of metres"),
    "high wall": (room("wall_m = 21"), "[room] wall_m: found 21; allowed: a number of metres"),
    "bright fabric": (
        room("reflectance = 0.99"),
        "[room] reflectance: found 0.99; allowed: a number from 0 to 0.98",
    ),
    "negative floor": (
        room("floor_reflectance = -0.1"),
        "[room] floor_reflectance: found -0.1; allowed: a number from 0 to 0.98",
    ),
    "day": (
        room("ambient_lux = 1e5"),
        "[room] ambient_lux: found 100000; allowed: a number of lux from 0 to 10000",
    ),
    "named colour": (
        room('fabric_colour = "whyte"'),
        '[room] fabric_colour: found "whyte"; allowed: a colour as "#rrggbb" or by name, such as '
        '"orange" or "warm white"; did you mean "white"?',
    ),
    "short colour": (room('floor_colour = "#fff"'), '[room] floor_colour: found "#fff"; allowed'),
    "kind of room": (
        room('kind = "Dom"'),
        f'[room] kind: found "Dom"; allowed: {KINDS}; did you mean "dome"?',
    ),
    "unknown room key": (
        room("reflectence = 0.5"),
        '[room] reflectence: found an unknown key; allowed: "kind", "open", "reflectance", '
        '"floor_reflectance", "fabric_colour", "floor_colour", "ambient_lux", "haze_per_m", '
        '"radius_m", "rise_m", "wall_m", "frequency", "tube_mm", "open_share", "seed"; '
        'did you mean "reflectance"?',
    ),
    "no room for a dome's keys in a hall": (
        "[room]\nkind = 'hall'\nlength_m = 9\nwidth_m = 6\nheight_m = 4\nwall_m = 1\n" + BALL,
        '[room] wall_m: found 1 with kind = "hall"; allowed: wall_m only with kind = "dome" or '
        '"bell" or "yurt"',
    ),
    "a hall without a height": (
        "[room]\nkind = 'hall'\nlength_m = 9\nwidth_m = 6\n" + BALL,
        "[room] height_m: found nothing; allowed: a number of metres from 0.5 to 100; kind = "
        '"hall" needs it',
    ),
    "a pole in a dome": (room("pole_mm = 5"), "[room] pole_mm: found 5 with kind ="),
    "a frame in a bell": (
        room("kind = 'bell'\nfrequency = 3"),
        '[room] frequency: found 3 with kind = "bell"; allowed: frequency only with kind = "dome"',
    ),
    "a steep bell": (
        room("kind = 'bell'\nrise_m = 7"),
        "[room] rise_m: found 7; allowed: a number of metres from 0.8 to 6.8",
    ),
    "an unknown open surface": (
        room("open = ['roof']"),
        '[room] open: found "roof"; allowed: names of "dome", "wall", "floor"',
    ),
    "open triangles without a frame": (
        room("open_share = 0.5"),
        "[room] open_share: found 0.5; allowed: open_share only with a frequency",
    ),
    "a crown wider than half the yurt": (
        room("kind = 'yurt'\ncrown_m = 4.1"),
        "[room] crown_m: found 4.1; allowed: a number of metres from 0.1 to 4",
    ),
    "a crown in a bell": (
        room("kind = 'bell'\ncrown_m = 1"),
        '[room] crown_m: found 1 with kind = "bell"; allowed: crown_m only with kind = "yurt"',
    ),
    "a kind that is a list": (room("kind = ['dome']"), "[room] kind: found"),
    "key without its unit": (room("wall = 1"), 'did you mean "wall_m"?'),
    "odd key": (room('"a\\nb" = 1'), '[room] "a\\nb": found an unknown key'),
    "long title": ("title = '" + "x" * 121 + "'\n" + GOOD, "title: found"),
    "title with a line break": (
        'title = "a\\nb"\n' + GOOD,
        'title: found "a\\nb"; allowed: a text of at most 120 printable characters',
    ),
    "contrast": ("visible_contrast = -1\n" + GOOD, "visible_contrast: found -1; allowed: a number"),
    # tiles
    "tile over panel": (
        tile("edge_mm = 33"),
        "[tile] edge_mm: found 33; allowed: at most the panel's edge, panel_edge_mm = 32",
    ),
    "panel under tile": (
        tile("panel_edge_mm = 20"),
        "[tile] panel_edge_mm: found 20; allowed: at least the tile's edge, edge_mm = 25",
    ),
    "a ball's own tile over the scene's panel": (
        GOOD + "tile = { edge_mm = 31 }\n[tile]\npanel_edge_mm = 30\n",
        "[[ball]] 1 tile.edge_mm: found 31; allowed: at most the panel's edge, panel_edge_mm = 30",
    ),
    "unknown key in a ball's own tile": (
        ball("tile = { edge = 3 }"),
        "[[ball]] 1 tile.edge: found an unknown key",
    ),
    "thin tile": (
        tile("thickness_mm = 0"),
        "[tile] thickness_mm: found 0; allowed: a number of millimetres from 0.1 to 50",
    ),
    "tilt": (
        tile("tilt_sd_deg = 21"),
        "[tile] tilt_sd_deg: found 21; allowed: a number of degrees from 0 to 20",
    ),
    "mirror": (tile("reflectance = 1.01"), "[tile] reflectance: found 1.01; allowed: a number"),
    "seed": (
        tile("seed = 1.5"),
        "[tile] seed: found 1.5; allowed: a whole number from 0 to 9007199254740992",
    ),
    "yes for a seed": (tile("seed = true"), "[tile] seed: found true; allowed: a whole number"),
    # balls
    "no shape": (
        ROOM + "[[ball]]\n",
        "[[ball]] 1 shape: found nothing; allowed: the name of a shape that `glint shapes` lists, "
        'or a table with the keys "base", "steps"',
    ),
    "no base": (
        shape("steps = []"),
        '[[ball]] 1 shape.base: found nothing; allowed: "tetrahedron"',
    ),
    "base": (
        shape('base = "icosahedrn"'),
        '"geodesic", "rings"; did you mean "icosahedron"?',
    ),
    "base with underscores": (
        shape('base = "Truncated_Icosahedron"'),
        'found "Truncated_Icosahedron"; allowed',
    ),
    "base with underscores, nearest": (
        shape('base = "Truncated_Icosahedron"'),
        'did you mean "truncated icosahedron"?',
    ),
    "base of the wrong type": (shape("base = 20"), "[[ball]] 1 shape.base: found 20; allowed"),
    "diameter of a solid": (
        shape('base = "icosahedron", diameter_m = 0.5'),
        f"[[ball]] 1 shape.diameter_m: found 0.5 {ICOSA}; allowed: diameter_m only "
        'with base "geodesic" or "rings"',
    ),
    "gap of a solid": (shape('base = "icosahedron", gap_mm = 2'), f"found 2 {ICOSA}; allowed"),
    "frequency of rings": (
        shape('base = "rings", diameter_m = 0.5, frequency = 3'),
        '[[ball]] 1 shape.frequency: found 3 with base "rings"; allowed: frequency only with '
        'base "geodesic"',
    ),
    "sides of a solid": (shape('base = "icosahedron", sides = 5'), f"found 5 {ICOSA}; allowed"),
    "steps of rings": (
        shape('base = "rings", diameter_m = 0.5, steps = [{ do = "open", sides = 4 }]'),
        '[[ball]] 1 shape.steps: found a list of 1 table with base "rings"; '
        'allowed: no steps with base "rings"',
    ),
    "rings without diameter": (
        shape('base = "rings"'),
        "[[ball]] 1 shape.diameter_m: found nothing; allowed: a number of metres "
        'from 0.02 to 20; base "rings" needs it',
    ),
    "prism without sides": (shape('base = "prism"'), "[[ball]] 1 shape.sides: found nothing; all"),
    "geodesic without frequency": (
        shape('base = "geodesic", diameter_m = 0.4'),
        "[[ball]] 1 shape.frequency: found nothing; allowed",
    ),
    "sides of a prism": (
        shape('base = "prism", sides = 13'),
        "[[ball]] 1 shape.sides: found 13; allowed: a whole number from 3 to 12",
    ),
    "frequency": (
        shape('base = "geodesic", diameter_m = 0.4, frequency = 33'),
        "[[ball]] 1 shape.frequency: found 33; allowed: a whole number from 1 to 32",
    ),
    "base and mesh": (
        shape('base = "cube", mesh = "pear.stl"'),
        '[[ball]] 1 shape.base: found "cube" beside mesh; allowed: no base: the file tells the',
    ),
    "steps of a mesh": (
        shape('mesh = "pear.stl", steps = []'),
        "[[ball]] 1 shape.steps: found [] beside mesh; allowed: no steps",
    ),
    "mesh of another kind": (
        shape('mesh = "pear.step"'),
        '[[ball]] 1 shape.mesh: found "pear.step"; allowed: the path of a mesh file (.stl, .obj, '
        ".ply or .glb), relative to the scene",
    ),
    "mesh without an ending": (shape('mesh = "stl"'), '[[ball]] 1 shape.mesh: found "stl"; allo'),
    "mesh from anywhere": (
        shape('mesh = "/tmp/pear.stl"'),
        '[[ball]] 1 shape.mesh: found the absolute path "/tmp/pear.stl"; allowed: the path of a m',
    ),
    "scale of a solid": (
        shape('base = "cube", scale_mm = 2'),
        "[[ball]] 1 shape.scale_mm: found 2 without mesh; allowed: scale_mm only beside mesh",
    ),
    "scale of nothing": (
        shape('mesh = "pear.stl", scale_mm = 0'),
        "[[ball]] 1 shape.scale_mm: found 0; allowed: a number of millimetres above 0, at most 100",
    ),
    "tiles of a mesh": (
        shape('mesh = "pear.stl", tiles = "round"'),
        '[[ball]] 1 shape.tiles: found "round"; allowed: "largest", "triangle", "square", "cut"',
    ),
    "mesh hung by a corner": (
        f"{ROOM}[[ball]]\nshape = {{ mesh = 'pear.stl' }}\nhang = {{ by = 'vertex' }}\n",
        '[[ball]] 1 hang.by: found "vertex" with a mesh; allowed: no by: a mesh hangs as it stands',
    ),
    "step": (
        shape('base = "cube", steps = [{ do = "rise", sides = 4 }]'),
        f'[[ball]] 1 shape.steps 1 do: found "rise"; allowed: {DO}; did you mean "raise"?',
    ),
    "second step": (
        shape('base = "cube", steps = [{ do = "raise", sides = 4 }, { do = "open" }]'),
        "[[ball]] 1 shape.steps 2 sides: found nothing; allowed: a whole number from 3 to 12",
    ),
    "step as a word": (
        shape('base = "cube", steps = ["raise"]'),
        f'[[ball]] 1 shape.steps 1: found "raise"; {STEPS_KEYS}',
    ),
    "steps as a table": (
        shape('base = "cube", steps = { do = "raise" }'),
        "[[ball]] 1 shape.steps: found a table; allowed: a list of at most 16 tables",
    ),
    "count": (
        shape('base = "cube", steps = [{ do = "open", sides = 4, count = 0 }]'),
        "[[ball]] 1 shape.steps 1 count: found 0; allowed: a whole number from 1 to 100000",
    ),
    "frequency of a raised face": (
        shape('base = "cube", steps = [{ do = "raise", sides = 4, frequency = 2 }]'),
        '[[ball]] 1 shape.steps 1 frequency: found 2 with do = "raise"; '
        'allowed: frequency only with do = "split"',
    ),
    "levels of a split": (
        shape('base = "cube", steps = [{ do = "split", sides = 4, levels = 2 }]'),
        'allowed: levels only with do = "spike"',
    ),
    "turned spike": (
        shape('base = "octahedron", steps = [{ do = "spike", sides = 3, turned = true }]'),
        'found true with do = "spike"; allowed: turned only with do = "cap"',
    ),
    "too many levels": (
        shape('base = "octahedron", steps = [{ do = "spike", sides = 3, levels = 5 }]'),
        "[[ball]] 1 shape.steps 1 levels: found 5; allowed: a whole number from 1 to 4",
    ),
    "turned by a number": (
        shape('base = "prism", sides = 6, steps = [{ do = "cap", sides = 6, turned = 1 }]'),
        "[[ball]] 1 shape.steps 1 turned: found 1; allowed: true or false",
    ),
    "joints from large to small": (
        tile("joint_deg = [330, 40]"),
        "[tile] joint_deg: found [330, 40]; allowed: the smaller angle first",
    ),
    "one joint angle": (
        tile("joint_deg = 40"),
        "[tile] joint_deg: found 40; allowed: two angles [least, most] in degrees, each from 0 to",
    ),
    "joint beyond a whole turn": (tile("joint_deg = [0, 361]"), "allowed: two angles [least, mo"),
    "up": (
        GOOD + '[[ball]]\nshape = { base = "cube" }\nhang = { by = "vertx" }\n',
        '[[ball]] 2 hang.by: found "vertx"; allowed: "vertex", "face", "edge", "opening"; '
        'did you mean "vertex"?',
    ),
    "opening without one": (
        ball('hang = { by = "opening" }'),
        '[[ball]] 1 hang.by: found "opening"; allowed: "opening" only for a shape with a step',
    ),
    "sides without a face": (
        ball('hang = { by = "edge", sides = 3 }'),
        '[[ball]] 1 hang.sides: found 3; allowed: sides only beside by = "face"',
    ),
    "ball under the floor": (
        ball("hang = { height_m = -1 }"),
        "[[ball]] 1 hang.height_m: found -1; allowed: a number of metres from 0 to 200",
    ),
    "point too long": (
        ball("hang = { at_m = [0, 0, 2] }"),
        "[[ball]] 1 hang.at_m: found [0, 0, 2]; allowed: a point [x, y] in metres",
    ),
    "rpm too high up": (
        ball("rpm = 2"),
        '[[ball]] 1 rpm: found an unknown key; allowed: "name", "shape", "tile", "hang", "motion"; '
        'did you mean "motion.rpm"?',
    ),
    "fast": (
        ball("motion = { rpm = 121 }"),
        "[[ball]] 1 motion.rpm: found 121; allowed: a number of turns a minute from -120 to 120",
    ),
    "motion as a number": (
        ball("motion = 3"),
        '[[ball]] 1 motion: found 3; allowed: a table with the keys "rpm", "phase_deg"',
    ),
    "same names": (
        GOOD + BALL,
        '[[ball]] 2 name: found "pear", the name of [[ball]] 1; '
        "allowed: a name that no other ball has",
    ),
    "same names, one by default": (
        GOOD.replace("pear", "ball 2") + '[[ball]]\nshape = { base = "cube" }\n',
        '[[ball]] 2 name: found "ball 2", the name of [[ball]] 1',
    ),
    "empty name": (
        GOOD.replace("pear", ""),
        '[[ball]] 1 name: found ""; allowed: a name of 1 to 60 printable characters',
    ),
    "terminal codes in a name": (
        GOOD.replace("pear", "\\u001b[31m"),
        '[[ball]] 1 name: found "\\u001b[31m"; allowed: a name',
    ),
    # lamps
    "one lamp as a plain table": (
        GOOD + "[lamp]\n",
        "[[lamp]]: found a table; allowed: a list of at most 1000 tables [[lamp]]",
    ),
    "peak and lumens": (
        lamp("peak_cd = 5\nlumens = 6"),
        "[[lamp]] 1 lumens: found 6 beside peak_cd; allowed: only one of peak_cd, lumens and file",
    ),
    "lumens and file": (
        lamp('lumens = 6\nfile = "q.ies"'),
        '[[lamp]] 1 file: found "q.ies" beside lumens; allowed: only one of',
    ),
    "kelvin and colour": (
        lamp('kelvin = 3200\ncolour = "#ffffff"'),
        '[[lamp]] 1 colour: found "#ffffff" beside kelvin; allowed: only one of kelvin and',
    ),
    "narrow field": (
        lamp("beam_deg = 10\nfield_deg = 10"),
        "[[lamp]] 1 field_deg: found 10; allowed: a number of degrees above 10, at most 33 "
        "(beam_deg to 3.3 times beam_deg)",
    ),
    "field under the default beam": (lamp("field_deg = 5"), "[[lamp]] 1 field_deg: found 5; allow"),
    "wide field": (
        lamp("beam_deg = 10\nfield_deg = 34"),
        "[[lamp]] 1 field_deg: found 34; allowed",
    ),
    "beam beside file": (
        lamp('file = "q.ies"\nbeam_deg = 6'),
        "[[lamp]] 1 beam_deg: found 6 beside file; allowed: no beam_deg: the file tells the width",
    ),
    "aim": (
        lamp('aim = "paer"'),
        '[[lamp]] 1 aim: found "paer"; allowed: a ball\'s name ("pear"), or a point [x, y, z]; '
        'did you mean "pear"?',
    ),
    "aim in the plane": (
        lamp("aim = [1, 2]"),
        f"[[lamp]] 1 aim: found [1, 2]; allowed: a ball's name, or {A_POINT[9:]}",
    ),
    "aim at itself": (
        lamp("at_m = [0, 0, 1]\naim = [0, 0, 1]"),
        "[[lamp]] 1 aim: found [0, 0, 1]; allowed: a place other than the lamp's own",
    ),
    "lamp in the ball": (
        lamp("at_m = [0, 0, 2.4]"),
        '[[lamp]] 1 aim: found "pear"; allowed: a place other than the lamp\'s own',
    ),
    "lamp on the ground plan": (lamp("at_m = [0, 1]"), f"[[lamp]] 1 at_m: found [0, 1]; {A_POINT}"),
    "nan in a point": (
        lamp("at_m = [0, nan, 1]"),
        f"[[lamp]] 1 at_m: found [0, nan, 1]; {A_POINT}",
    ),
    "text in a point": (lamp('at_m = [0, "a", 1]'), f'found [0, "a", 1]; {A_POINT}'),
    "far lamp": (lamp("at_m = [0, 201, 1]"), f"[[lamp]] 1 at_m: found [0, 201, 1]; {A_POINT}"),
    "dark lamp": (
        lamp("peak_cd = 0"),
        "[[lamp]] 1 peak_cd: found 0; allowed: a number of candela from 1e-09 to 1000000000",
    ),
    "cold lamp": (
        lamp("kelvin = 999"),
        "[[lamp]] 1 kelvin: found 999; allowed: a number of kelvin from 1000 to 20000",
    ),
    "black lamp": (
        lamp('colour = "#000000"'),
        '[[lamp]] 1 colour: found "#000000"; allowed: any colour but black, which gives no light',
    ),
    "point lens": (
        lamp("lens_mm = 0"),
        "[[lamp]] 1 lens_mm: found 0; allowed: a number of millimetres from 1 to 2000",
    ),
    "American": (
        lamp('color = "#ffffff"'),
        '[[lamp]] 1 color: found an unknown key; allowed: "nam',
    ),
    "American, nearest": (lamp('color = "#ffffff"'), 'did you mean "colour"?'),
    "absolute path": (
        lamp('file = "/etc/passwd"'),
        '[[lamp]] 1 file: found the absolute path "/etc/passwd"; '
        "allowed: the path of a lamp file (IES LM-63, .ies), relative to the scene file",
    ),
    "absolute path elsewhere": (
        lamp("file = 'C:\\lamps\\q.ies'"),
        "[[lamp]] 1 file: found the absolute path",
    ),
    "second lamp": (
        lamp("kelvin = 3000\n[[lamp]]\nlens_mm = 'wide'"),
        '[[lamp]] 2 lens_mm: found "wide"; allowed',
    ),
    # eye and optics
    "fish's eye": (
        eye("fov_deg = 221"),
        "[eye] fov_deg: found 221; allowed: a number of degrees from 5 to 220",
    ),
    "eye on itself": (
        eye("at_m = [0, 1, 1]\nlook_m = [0, 1, 1]"),
        "[eye] look_m: found [0, 1, 1]; allowed: a point other than at_m",
    ),
    "workshop key": (
        GOOD + "[workshop]\nhand = 2\n",
        "[workshop] hand: found an unknown key",
    ),
    "no hands": (
        GOOD + "[workshop]\nhands = 0\n",
        "[workshop] hands: found 0; allowed: a whole number from 1 to 100",
    ),
    "seconds": (
        GOOD + "[workshop]\ntile_s = -1\n",
        "[workshop] tile_s: found -1; allowed: a number of seconds from 0 to 3600",
    ),
    "density": (
        GOOD + "[workshop]\nglass_g_cm3 = 2500\n",
        "glass_g_cm3: found 2500; allowed: a number of grams a cubic centimetre from 0.1 to 20",
    ),
    "handled after it is cured": (
        GOOD + "[workshop]\nhandling_h = 80\n",
        "[workshop] handling_h: found 80; allowed: at most full_cure_h = 72",
    ),
    "cured before it is handled": (
        GOOD + "[workshop]\nfull_cure_h = 12\n",
        "[workshop] full_cure_h: found 12; allowed: at least handling_h = 24",
    ),
    "bounces": (
        GOOD + "[optics]\nbounces = 9\n",
        "[optics] bounces: found 9; allowed: a whole number from 0 to 8",
    ),
    "half a bounce": (GOOD + "[optics]\nbounces = 2.5\n", "[optics] bounces: found 2.5; allowed"),
    # strings
    "no LEDs": (
        string("leds = 0"),
        "[[string]] 1 leds: found 0; allowed: a whole number from 1 to 500",
    ),
    "LED of no light": (string("led_lumens = 0.0"), "led_lumens: found 0; allowed: a number of"),
    "string in no ball": (string('ball = "plum"'), '[[string]] 1 ball: found "plum"; allowed: a'),
    "string of two colours": (
        string('kelvin = 2700\ncolour = "#ff0000"'),
        '[[string]] 1 colour: found "#ff0000" beside kelvin; allowed: only one of kelvin and',
    ),
    "no colours": (string("colour = []"), "[[string]] 1 colour: found []; allowed: a colour as"),
    "bad colour in a list": (string('colour = ["red", "bleu"]'), 'did you mean "blue"?'),
    "black among colours": (string('colour = ["#ff0000", "#000000"]'), "any colour but black"),
    "bundle of a coil": (
        string('lay = "coil"\nbundle_mm = 50'),
        '[[string]] 1 bundle_mm: found 50 in a string that lies as "coil"; allowed: bundle_mm only',
    ),
    "hardly any candela": (
        lamp("peak_cd = 5e-324"),
        "[[lamp]] 1 peak_cd: found 4.9406564",
    ),
    "hardly any lumens": (lamp("lumens = 1e-310"), "[[lamp]] 1 lumens: found 1e-310; allowed: a"),
    "LED of hardly any light": (string("led_lumens = 1e-310"), "led_lumens: found 1e-310; allowed"),
    "once in the age of the world": (
        ball("motion = { rpm = 1e-310, swing_deg = 5 }"),
        "[[ball]] 1 motion.rpm: found 1e-310; allowed: 0, or at least 1e-06 turns a minute either",
    ),
    "byte order mark in a title": (
        "title = '\ufeffquince'\n" + GOOD,
        'title: found "\\ufeffquince"; allowed: a text of at most 120 printable characters',
    ),
    "a speed that nothing keeps": (
        GOOD + "[goal]\nspeed_at_most_m_s = 5e-324\n",
        "allowed: a number of metres a second from 1e-06 to 1000",
    ),
    "free beyond the key": (
        GOOD + '[[free]]\nlamp = "lamp 1"\nkey = "beam_deg"\nleast = 1\nmost = 1e6\n',
        "[[free]] 1 most: found 1000000; allowed: what beam_deg may be: from 0.1 to 160",
    ),
    "free beyond the room": (
        GOOD + '[[free]]\nball = "pear"\nkey = "x_m"\nleast = -1e6\nmost = 1\n',
        "[[free]] 1 least: found -1000000; allowed: what x_m may be: from -200 to 200",
    ),
    "free panels below their tile": (
        GOOD + '[[free]]\nball = "pear"\nkey = "panel_edge_mm"\nleast = 10\nmost = 50\n',
        "[[free]] 1 least: found 10, and then [tile] panel_edge_mm 10; allowed: at least the tile",
    ),
    "hair of a wall": (room("wall_m = 5e-324"), "[room] wall_m: found 4.9406564"),
    "hair of a seam": (tile("seam_mm = 1e-30"), "[tile] seam_mm: found 1e-30; allowed: 0, or at l"),
    "hair of a cut": (tile("corner_cut_mm = 0.001"), "[tile] corner_cut_mm: found 0.001; allowed"),
    "pinprick": (tile("hole_mm = 1e-30"), "[tile] hole_mm: found 1e-30; allowed: 0, or at least"),
    "points without points": (string('lay = "points"'), "[[string]] 1 points_mm: found nothing"),
    "points and a number": (
        string("leds = 2\npoints_mm = [[0, 0, 0]]"),
        "[[string]] 1 leds: found 2 beside points_mm; allowed: no leds",
    ),
    "flat points": (string("points_mm = [[0, 0]]"), "[[string]] 1 points_mm: found a list"),
    "hasty twinkle": (
        string("twinkle_s = 0.1"),
        "[[string]] 1 twinkle_s: found 0.1; allowed: a number of seconds from 0.5 to 120",
    ),
    "seam over the panel": (tile("seam_mm = 19.0"), "[tile] seam_mm: found 19; allowed: less"),
    "corner cut over half": (
        tile("corner_cut_mm = 16.0"),
        "[tile] corner_cut_mm: found 16; allowed: less than half the panel's edge",
    ),
    "hole over the panel": (tile("hole_mm = 18.5"), "[tile] hole_mm: found 18.5; allowed: less"),
    "walls that lose nothing": (
        tile("inner_reflectance = 1.0"),
        "[tile] inner_reflectance: found 1; allowed: a number from 0 to 0.98",
    ),
    "flux floor": (
        GOOD + "[optics]\nflux_floor = 0.5\n",
        "[optics] flux_floor: found 0.5; allowed: a number from 0 to 0.1",
    ),
}


def message(text: str | bytes) -> str:
    data = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(SceneError) as caught:
        scene_of(parse(data, "apples.toml"), "apples.toml")
    assert caught.value.exit_status == 2
    return str(caught.value)


@pytest.mark.parametrize(("text", "expected"), BAD.values(), ids=BAD.keys())
def test_a_bad_scene_is_explained(text, expected):
    lines = message(text).split("\n")
    assert all(line.startswith("apples.toml: ") for line in lines)
    assert all(line.isprintable() and len(line) < 1000 for line in lines)
    assert any(expected in line for line in lines), lines
    assert len(lines) == 1 or text in (BAD["empty"][0], BAD["plural"][0])


def test_no_spelling_is_offered_when_none_is_near():
    told = message(room('kind = "x"'))
    assert told == f'apples.toml: [room] kind: found "x"; allowed: {KINDS}'


def test_the_good_scene_that_the_bad_ones_start_from_is_good():
    assert scene_of(parse(GOOD.encode(), "good.toml")).ball[0].name == "pear"


def test_every_problem_is_told_at_once_and_each_once():
    text = lamp("beam_deg = 20\nfield_deg = 2\naim = 'nobody'\nlens_mm = -1").replace(
        'base = "icosahedron"', 'base = "icosahedron", gap_mm = 1'
    )
    where = [line.split(": ")[1] for line in message("title = 3\n" + text).split("\n")]
    assert sorted(where) == [
        "[[ball]] 1 shape.gap_mm",
        "[[lamp]] 1 aim",
        "[[lamp]] 1 field_deg",
        "[[lamp]] 1 lens_mm",
        "title",
    ]


def test_a_range_problem_does_not_bring_others_that_follow_from_it():
    lines = message("[room]\nradius_m = -4\nrise_m = 2\n" + BALL).split("\n")
    assert [line.split(": ")[1] for line in lines] == ["[room] radius_m"]


def test_very_many_problems_are_counted():
    text = GOOD + "[eye]\n" + "".join(f"k{i} = 1\n" for i in range(1500))
    lines = message(text).split("\n")
    assert len(lines) == 101
    assert lines[-1] == "apples.toml: and 1400 more problems"
