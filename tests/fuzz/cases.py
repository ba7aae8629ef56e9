"""One made-up case, and what must hold of it whatever it is.

Bad input is told in plain lines (`GlintError`); from anything else come figures that are finite,
not negative, and agree with each other. Any other exception is a bug.
"""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from random import Random

import numpy as np

from glint.errors import GlintError
from glint.lighting.energy_balance import Audit, audit
from glint.lighting.illumination import light, spots
from glint.lighting.strings.balance import audit_strings
from glint.room.charts import chart_of
from glint.scene.build import load
from glint.scene.scene import Scene
from tests.fuzz import files, scenes, spoil
from tests.fuzz.commands import SHARES as COMMANDS
from tests.fuzz.commands import command_holds, suited
from tests.fuzz.evening import evening
from tests.fuzz.toml import Tables, as_toml

TEXELS = 64
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # of linear sRGB: IEC 61966-2-1

FINE = 512
BLUR = 3.0
"""Direct light is taken at the middles of texels. What that leaves open of an audit is at most
this many texels over the width of the narrowest patch of light; nothing is said of patches that
are narrower than NARROWEST texels.
"""

NARROWEST = 8.0
CLOSED = 0.002
CLEAR = 2.5
"""Radii of its lens that a lamp is away from the room, and that half its beam is wide where it
meets the first ball or surface: else a lens is no small round source.
"""

MOST_SPOTS = 5000


def run_case(kind: str, r: Random) -> str:
    """Run one case; returns what became of it in a word. Raises AssertionError where a figure is
    wrong; any exception but that is a bug as well.
    """
    with tempfile.TemporaryDirectory(prefix="glint-fuzz-") as name:
        folder = Path(name)
        path = written(kind, r, folder)
        if kind in COMMANDS:
            return command_holds(r, kind, path)
        try:
            built = load(path)
        except GlintError as error:
            told_plainly(error, path)
            return "refused"
        figures_hold(built, r)
        if r.random() < 0.03:
            files_hold(built, r, folder)
        return "built"


def written(kind: str, r: Random, folder: Path) -> Path:
    """The scene file of a case, with all that it names, in a folder."""
    path = folder / "quince.toml"
    path.write_bytes(_command(kind, r) if kind in COMMANDS else KINDS[kind](r, folder))
    return path


def told_plainly(error: GlintError, path: Path) -> None:
    """One line a problem, each with the file's name, and nothing that a terminal would obey."""
    assert error.exit_status == 2, error
    lines = str(error).split("\n")
    assert all(line.isprintable() and line.startswith(str(path)) for line in lines), lines
    assert len(lines) <= 102 and max(map(len, lines)) < 3000, lines


def figures_hold(built: Scene, r: Random) -> None:
    """Light maps, spots and the audit of one pose: finite, not negative, and at one."""
    pose = built.at(degrees=r.choice([0.0, 10.0, -1e6, r.uniform(0, 360)]))
    maps = light(pose, TEXELS)
    on_maps = 0.0
    for found in maps.values():
        assert np.isfinite(found.lux).all() and (found.lux >= 0.0).all()
        assert np.isfinite(found.ambient).all() and (found.ambient >= 0.0).all()
        total = found.lux.sum(axis=(0, 1), dtype=np.float64) * found.chart.texel_area
        on_maps += float(total @ LUMINANCE)
    lamps = audit(pose, TEXELS)
    landed = sum(sum(row.landed.values()) + sum(row.direct.values()) for row in lamps)
    whole = sum(row.lumens for row in lamps)
    for string in audit_strings(pose, TEXELS):
        landed += string.out
        whole += string.lumens
        assert np.isfinite(string.closure), string
    # Where a surface is open, a map loses whole texels.
    share = 1e-2 if any(surface.open for surface in built.room.surfaces) else 1e-4
    assert abs(on_maps - landed) <= share * whole, (on_maps, landed, whole)
    for row in lamps:
        assert np.isfinite(row.closure) and row.lumens > 0.0
        parts = [row.absorbed, row.caught, row.cut_off, *row.landed.values(), *row.direct.values()]
        assert np.isfinite(parts).all() and min(parts) >= 0.0, row
    if len(lamps) <= 4 and r.random() < 0.1:
        accounts_close(built, audit(pose, FINE))
    if sum(len(ball.body.tile_sides) for ball in built.balls) > MOST_SPOTS:
        return  # a thousandth of a second each: right, but long
    for spot in spots(pose):
        figures = np.array(spot[-7:], float)
        assert np.isfinite(figures).all(), spot
        assert min(spot.area, spot.diameter, spot.peak_lux, spot.lumens) >= 0.0, spot


def accounts_close(built: Scene, lamps: list[Audit]) -> None:
    """Every lumen is found again, as far as maps of FINE texels can show the lamp's light."""
    texel = max(math.sqrt(chart_of(s, FINE).texel_area) for s in built.room.surfaces)
    for lamp, row in zip(built.lamps, lamps, strict=True):
        candela = lamp.intensity.candela.max(axis=0)
        half = lamp.intensity.gamma[np.flatnonzero(candela > 0.5 * candela.max())[-1]]
        room = built.room.clearance(lamp.position)
        width = 2.0 * min(half, 0.5) * room
        away = [math.dist(ball.centre, lamp.position) for ball in built.balls]
        # A ball's shadow is that of a flat cut-out at its middle: fair from a radius away on.
        close = any(d < 2.0 * b.body.radius for d, b in zip(away, built.balls, strict=True))
        sharp = half * min(*away, room) < CLEAR * lamp.lens_radius
        if width > NARROWEST * texel and room > CLEAR * lamp.lens_radius and not close | sharp:
            assert abs(row.closure) <= CLOSED + BLUR * texel / width, (texel / width, row)


def files_hold(built: Scene, r: Random, folder: Path) -> None:
    """A picture, the geometry and the build sheet are written whole."""
    from glint.build.export import export
    from glint.build.pages import files_of
    from glint.build.sheet import sheet
    from glint.render.still import draw

    pose = built.at(degrees=5.0)
    assert draw(pose, "floor", TEXELS).ndim == 3
    try:
        assert draw(pose, "eye", (TEXELS, TEXELS)).shape == (TEXELS, TEXELS, 3)
    except GlintError as error:  # an eye outside the room, or in a ball
        told_plainly(error, folder / "quince.toml")
    ending = r.choice(["glb", "stl", "obj", "ply"])
    export(pose, folder / f"out.{ending}")
    assert (folder / f"out.{ending}").stat().st_size > 100
    if sum(len(ball.body.panel_sides) for ball in built.balls) < 300:
        for name, data in files_of(sheet(built)).items():
            assert data, name
            if name.endswith((".html", ".svg", ".txt")):
                text = data.decode().replace("\n", "")
                assert "\x1b" not in text and "\u202e" not in text, name


def _odd(r: Random, folder: Path) -> bytes:
    return as_toml(scenes.scene(r)).encode()


def _evening(r: Random, folder: Path) -> bytes:
    tables = evening(r)
    return as_toml(spoil.with_tiny_numbers(r, tables) if r.random() < 0.1 else tables).encode()


def _command(command: str, r: Random) -> bytes:
    tables = suited(r, command, evening(r))
    return as_toml(spoil.with_tiny_numbers(r, tables) if r.random() < 0.1 else tables).encode()


def _any(r: Random) -> Tables:
    return evening(r) if r.random() < 0.7 else scenes.scene(r)


def _wrong(r: Random, folder: Path) -> bytes:
    return as_toml(spoil.spoilt(r, _any(r))).encode("utf-8", "surrogatepass")


def _text(r: Random, folder: Path) -> bytes:
    return spoil.bytes_gone_wrong(r, as_toml(_any(r)).encode())


def _mesh(r: Random, folder: Path) -> bytes:
    ending, data = files.mesh_file(r)
    (folder / f"quince.{ending}").write_bytes(data)
    shape = {
        "mesh": f"quince.{ending}",
        "tiles": r.choice(["largest", "triangle", "square", "cut"]),
    }
    if r.random() < 0.3 or ending == "glb":
        shape["scale_mm"] = r.choice([1.0, 1.0, 1e-6, 1e6])
    tables = {"room": {"radius_m": 4.0}, "tile": {"thickness_mm": 0.5}, "ball": [{"shape": shape}]}
    return as_toml(tables).encode()


def _lamp(r: Random, folder: Path) -> bytes:
    (folder / "quince.ies").write_bytes(files.lamp_file(r))
    aim = r.choice([[0.0, 0.0, 2.4], [0.0, 0.0, 2.4], [3.0, 0.0, 0.0]])
    lamp = {"at_m": [3.0, 0.0, r.choice([0.5, 1.6, 2.4])], "aim": aim, "file": "quince.ies"}
    shape = {"base": r.choice(["cube", "octahedron"])}
    tables = {"room": {"radius_m": 4.0}, "tile": {"thickness_mm": 0.5}}
    return as_toml(tables | {"ball": [{"shape": shape}], "lamp": [lamp]}).encode()


def _crowd(r: Random, folder: Path) -> bytes:
    return as_toml(scenes.crowd(r)).encode()


KINDS = {
    "evening": _evening,
    "odd": _odd,
    "wrong": _wrong,
    "text": _text,
    "mesh": _mesh,
    "lamp": _lamp,
    "crowd": _crowd,
}
