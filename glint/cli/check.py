"""`glint check`: what is in a scene, or what is wrong with it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from glint.cli.options import AS_JSON, PROGRESS, SCENE
from glint.cli.printing import Column, print_json, print_table
from glint.cli.progress import working
from glint.errors import printable

if TYPE_CHECKING:
    from glint.lighting.strings.cavity import LedCavity
    from glint.scene.ball import Ball
    from glint.scene.scene import Scene

BALLS = (
    Column("name", "ball"),
    Column("shape", "shape"),
    Column("tiles", "tiles"),
    Column("panels", "panels"),
    Column("diameter_m", "across", "m"),
    Column("height_m", "hangs at", "m"),
    Column("rpm", "turns", "/min"),
    Column("symmetry", "alike", "a turn", spare=True),
)
LAMPS = (Column("name", "lamp"), Column("lumens", "flux", "lm"), Column("peak_cd", "peak", "cd"))
STRINGS = (
    Column("name", "string"),
    Column("ball", "ball"),
    Column("leds", "LEDs"),
    Column("lumens", "flux", "lm"),
    Column("openings", "openings"),
    Column("open_cm2", "open", "cm²"),
    Column("open_percent", "open", "%"),
    Column("out_lm", "leaves", "lm"),
    Column("glow_lm", "as glow", "lm", spare=True),
)


@click.command()
@SCENE
@AS_JSON
@PROGRESS
def check(scene: Path, as_json: bool) -> None:
    """Read and build SCENE; say what is in it, or what is wrong.

    A warning is printed where tiles are too thick for the valleys of their body, where the workshop
    owns fewer tiles than all balls take together with their spares, and where the eye stands
    outside the room.

    Example: glint check scenes/spiked-twenty.toml
    """
    from glint.scene.build import load

    with working("building"):
        found = found_in(load(scene))
    if as_json:
        print_json(found)
        return
    click.echo(printable(found["title"]))
    for columns, rows in ((BALLS, found["balls"]), (LAMPS, found["lamps"])):
        click.echo()
        print_table(columns, ([row[column.key] for column in columns] for row in rows))
    if found["strings"]:
        click.echo()
        print_table(STRINGS, ([row[c.key] for c in STRINGS] for row in found["strings"]))
    for line in _to_and_fro(found["balls"]):
        click.echo(f"\n{printable(line)}")
    for warning in found["warnings"]:
        click.echo(f"\nwarning: {printable(warning)}")


def found_in(scene: Scene) -> dict[str, Any]:
    """What is in a scene, as `--json` prints it."""
    from glint.build.shopping import shortages, tiles_of
    from glint.lighting.prepared import lighting_of
    from glint.scene.unglued import unglued
    from glint.scene.viewpoint import eye_problems
    from glint.shape.gluing import gluing

    balls, warnings = [], list(unglued(scene))
    for ball in scene.balls:
        judged = gluing(ball.body, ball.shape, ball.tile)
        balls.append(
            {
                "name": ball.name,
                "shape": ball.body.name,
                "tiles": len(ball.body.tile_sides),
                "panels": len(ball.body.panel_sides),
                "diameter_m": 2.0 * ball.body.radius,
                "height_m": float(ball.centre[2]),
                "rpm": ball.motion.rpm,
                "swing_s": None if ball.swing is None else ball.swing.period,
                "twist_s": ball.motion.twist_period_s,
                "symmetry": ball.body.symmetry,
                "can_be_glued": judged.possible,
                "colliding_tiles": judged.collisions,
                "what_fits": judged.remedies,
                "gluing": judged.says,
            }
        )
        warnings.extend(_overhang(ball))
    if scene.workshop.owned:
        warnings.extend(shortages(tiles_of(scene)))
    warnings.extend(eye_problems(scene))
    cavities = lighting_of(scene).cavities
    return {
        "title": scene.title,
        "balls": balls,
        "lamps": [
            {
                "name": lamp.name,
                "lumens": lamp.lumens,
                "peak_cd": float(lamp.intensity.candela.max()),
            }
            for lamp in scene.lamps
        ],
        "strings": [row for inside in cavities for row in _strings(scene, inside)],
        "warnings": warnings,
    }


def _strings(scene: Scene, inside: LedCavity) -> Iterator[dict[str, Any]]:
    """What strings of one ball are and, at full brightness, what comes to the openings."""
    first = 0
    area = inside.open_area
    for string in inside.strings:
        mine = slice(first, first + len(string.points))
        first = mine.stop
        lumens, straight = string.lumens.sum(), inside.through[mine].sum()
        glow = inside.glow_share * (lumens - straight)
        kinds = zip(inside.openings.kind, inside.openings.number, strict=True)
        yield {
            "name": string.name,
            "ball": scene.balls[inside.ball].name,
            "leds": len(string.points),
            "lumens": float(lumens),
            "openings": len(set(kinds)),
            "open_cm2": 1e4 * area,
            "open_percent": 100.0 * area / (area + inside.wall_area),
            "out_lm": float(straight + glow),
            "glow_lm": float(glow),
        }


def _overhang(ball: Ball) -> list[str]:
    """A tile of edge t on a panel of edge p leaves (p - t) / (2 sqrt 3) of a triangle's sides."""
    tile = ball.tile
    margin = (tile.panel_edge_mm - tile.edge_mm) / (2.0 * math.sqrt(3.0))
    if ball.shape.is_mesh or 0.5 * tile.seam_mm <= margin:
        return []
    return [
        f'ball "{ball.name}": its tiles reach over its seams, which keeps light in; up to '
        f"seam_mm = {2.0 * margin:.2f} they do not"
    ]


def _to_and_fro(balls: list[dict[str, Any]]) -> list[str]:
    """A line each on what swings and twists."""
    kinds = (("swing_s", "swings"), ("twist_s", "twists"))
    return [
        f'ball "{ball["name"]}": {verb} there and back in {ball[key]:.3f} s'
        for ball in balls
        for key, verb in kinds
        if ball[key] is not None
    ]
