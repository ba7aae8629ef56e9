"""`glint spots`: a row for every spot, and where the lamps' light went."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from glint.cli.inputs import keep_inputs
from glint.cli.options import AS_JSON, AT, CSV_FILE, FORCE, PROGRESS, SCENE, SECONDS, pose_at
from glint.cli.printing import Column, print_json, print_table, rounded
from glint.cli.progress import working
from glint.errors import printable

if TYPE_CHECKING:
    from glint.lighting.energy_balance import Audit
    from glint.lighting.illumination import Spot
    from glint.lighting.strings.balance import StringAudit

SPOTS = (
    Column("lamp", "lamp"),
    Column("ball", "ball"),
    Column("tiles", "tiles"),
    Column("bounces", "mirrors", spare=True),
    Column("surface", "surface"),
    Column("x_m", "x", "m", 3),
    Column("y_m", "y", "m", 3),
    Column("z_m", "z", "m", 3),
    Column("area_m2", "area", "m²", spare=True),
    Column("diameter_m", "across", "m", spare=True),
    Column("peak_lux", "peak", "lx"),
    Column("lumens", "flux", "lm", spare=True),
)
KEYS = tuple(column.key for column in SPOTS)
FATES = (
    Column("lamp", "lamp"),
    Column("light", "where the light went"),
    Column("lumens", "flux", "lm"),
    Column("percent", "share", "%", 2),
)
OUT = "out by openings"
STRING_FATES = (Column("string", "string"), *FATES[1:])


@click.command()
@SCENE
@AT
@SECONDS
@CSV_FILE
@AS_JSON
@PROGRESS
@FORCE
def spots(
    scene: Path,
    degrees: float,
    seconds: float | None,
    csv_file: Path | None,
    as_json: bool,
    force: bool,
) -> None:
    """List every spot that SCENE throws: a row for each chain of tiles on each surface.

    Each ball's tiles are numbered from 0; where light goes from ball to ball, as "left > right",
    its tiles stand in the same order, as "3-5 > 17". --csv has the spots alone.

    Under it stands where every lumen of each lamp went, found in three ways that must agree.

    Example: glint spots scenes/lantern.toml --at 15
    """
    from glint.files.atomic import check_output, whole_file
    from glint.files.csv import csv_of
    from glint.lighting.energy_balance import audit
    from glint.lighting.illumination import spots as spots_of
    from glint.lighting.strings.balance import audit_strings
    from glint.scene.build import load

    if csv_file is not None:
        check_output(csv_file, force=force, endings=(".csv",))
    with working("following the light"):
        built = load(scene)
        keep_inputs(built.source, csv_file)
        pose = pose_at(built, degrees, seconds)
        rows = [_spot(row) for row in spots_of(pose)]
        lamps = [_account(lamp) for lamp in audit(pose)]
        strings = [_string(string) for string in audit_strings(pose)]
    shown = [_shown(row) for row in rows]
    if csv_file is not None:
        with whole_file(csv_file, force) as place:
            text = csv_of([column.key for column in SPOTS], shown)
            place.write_text(text, encoding="utf-8", newline="")
        click.echo(f"wrote {printable(str(csv_file))}", err=True)
    if as_json:
        print_json({"spots": rows, "audit": lamps, "strings": strings})
        return
    print_table(SPOTS, shown, "Spots")
    if lamps:
        click.echo()
        print_table(FATES, (row for lamp in lamps for row in _fates(lamp)), "The lamps' light")
    if strings:
        click.echo()
        told = (row for string in strings for row in _string_fates(string))
        print_table(STRING_FATES, told, "The strings' light")


def _spot(row: Spot) -> dict[str, Any]:
    return dict(zip((*KEYS[:3], "balls", *KEYS[3:]), row, strict=True))


def _shown(row: dict[str, Any]) -> list[object]:
    """The cells of a spot: balls that its light went over, and the tiles of each."""
    parts = [
        (ball, [str(tile) for _, tile in some])
        for ball, some in groupby(zip(row["balls"], row["tiles"], strict=True), lambda one: one[0])
    ]
    words = {
        "ball": " > ".join(ball for ball, _ in parts),
        "tiles": " > ".join("-".join(tiles) for _, tiles in parts),
    }
    return [words.get(key, row[key]) for key in KEYS]


def _account(lamp: Audit) -> dict[str, Any]:
    return {
        "lamp": lamp.lamp,
        "lumens": lamp.lumens,
        "absorbed_lm": lamp.absorbed,
        "caught_lm": lamp.caught,
        "cut_off_lm": lamp.cut_off,
        "landed_lm": lamp.landed,
        "spill_lm": lamp.direct,
        "left_lm": lamp.left,
        "closed_percent": 100.0 * (1.0 - lamp.closure),
    }


def _string(string: StringAudit) -> dict[str, Any]:
    return {
        "string": string.string,
        "ball": string.ball,
        "leds": string.leds,
        "lumens": string.lumens,
        "walls_lm": string.walls,
        "absorbed_lm": string.absorbed,
        "caught_lm": string.caught,
        "cut_off_lm": string.cut_off,
        "landed_lm": string.landed,
        "glow_lm": string.glow,
        "left_lm": string.left,
        "opening_cd_m2": string.radiance,
        "closed_percent": 100.0 * (1.0 - string.closure),
    }


def _string_fates(string: dict[str, Any]) -> Iterator[tuple[object, ...]]:
    """The rows of one string; the last is what they come to."""
    parts = {
        "kept by the walls inside": string["walls_lm"],
        "lost in mirrors": string["absorbed_lm"],
        "caught by rims and panels": string["caught_lm"],
        "cut off": string["cut_off_lm"],
        **{f"on the {name} straight": lumens for name, lumens in string["landed_lm"].items()},
        **{f"on the {name} as glow": lumens for name, lumens in string["glow_lm"].items()},
        **({OUT: string["left_lm"]} if string["left_lm"] else {}),
    }
    yield from _shares(string["string"], parts, string)


def _fates(lamp: dict[str, Any]) -> Iterator[tuple[object, ...]]:
    """The rows of one lamp; the last is what they come to."""
    parts = {
        "lost in mirrors": lamp["absorbed_lm"],
        "caught by panels": lamp["caught_lm"],
        "cut off": lamp["cut_off_lm"],
        **{f"on the {name} by mirrors": lumens for name, lumens in lamp["landed_lm"].items()},
        **{f"on the {name} past the balls": lumens for name, lumens in lamp["spill_lm"].items()},
        **({OUT: lamp["left_lm"]} if lamp["left_lm"] else {}),
    }
    yield from _shares(lamp["lamp"], parts, lamp)


def _shares(
    name: str, parts: dict[str, float], source: dict[str, Any]
) -> Iterator[tuple[object, ...]]:
    """A row for each part of a source's lumens, and what they come to."""
    for light, lumens in parts.items():
        yield name, light, lumens, 100.0 * lumens / source["lumens"]
    closed = f"closed, of {rounded(source['lumens'])} lm"
    yield name, closed, sum(parts.values()), source["closed_percent"]
