"""The build sheet of a scene: every figure a maker needs, worked out and still unworded."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from glint.build.cautions import CAUTIONS, DEFERENCE, Caution
from glint.build.core import Core, core_of
from glint.build.girth import Girth, girth
from glint.build.handling import HANDLING
from glint.build.hanging import Hanging, hang
from glint.build.hours import Hours, hours
from glint.build.inventory import Kind, kinds
from glint.build.net import Piece, unfold
from glint.build.parts import Made, Parts, Row, parts_of, upward
from glint.build.shopping import Hardware, Item, Shopping, tiles_of, together
from glint.build.wind import FORCES, TAKE_DOWN, Wind, beaufort, wind
from glint.errors import printable
from glint.scene.ball import Ball
from glint.scene.scene import Scene
from glint.scene.unglued import unglued
from glint.schema.tables import WorkshopTable
from glint.shape.body import Body
from glint.shape.buildable import remarks
from glint.shape.hold import hold_of
from glint.shape.joints import AngleKind, angle_kinds, joints
from glint.shape.weight import Mass, weigh

_MM = 1e-3


class BallSheet(NamedTuple):
    """One ball. panels, angles and net are empty for a ring-laid ball, whose core comes ready-made.

    core: what those tiles are glued to, for others None; order: numbers of the panels from the
    bottom up, of a body without parts; across: diameter of the sphere about all
    its corners, m; overhead: what the cord goes straight up to, or "" where its length is given;
    remarks: joints that lie flat, tips that touch; rated: what hook, cord and safety line should
    be rated for, kg.
    """

    name: str
    body: Body
    tile_thickness: float
    pocket: float
    tiles: tuple[Kind, ...]
    panels: tuple[Kind, ...]
    core: Core | None
    parts: Parts
    order: tuple[str, ...]
    angles: tuple[AngleKind, ...]
    joints: int
    remarks: str
    mass: Mass
    across: float
    loop: Girth
    hanging: Hanging
    overhead: str
    rated: float
    wind: Wind
    hours: Hours
    net: tuple[Piece, ...]

    @property
    def regular(self) -> bool:
        """Whether every panel is a regular polygon."""
        return all(kind.regular for kind in self.panels)

    @property
    def tile_count(self) -> int:
        """Tiles without spares."""
        return sum(kind.needed for kind in self.tiles)

    @property
    def panel_count(self) -> int:
        """Panels without spares."""
        return sum(kind.needed for kind in self.panels)


class Sheet(NamedTuple):
    """A whole scene's balls, what they take together, and what was assumed. unglued: a line for
    each that cannot be glued as it is.
    """

    title: str
    scene: str
    balls: tuple[BallSheet, ...]
    shopping: Shopping
    workshop: WorkshopTable
    unglued: tuple[str, ...]


def sheet(scene: Scene) -> Sheet:
    """The build sheet of every ball of a scene."""
    balls = tuple(_ball_sheet(scene, ball) for ball in scene.balls)
    bought = _shopping(scene, balls)
    return Sheet(scene.title, printable(scene.name), balls, bought, scene.workshop, unglued(scene))


def _shopping(scene: Scene, balls: tuple[BallSheet, ...]) -> Shopping:
    workshop = scene.workshop
    thickness = workshop.panel_thickness_mm * _MM
    panels = [Item(kind, thickness) for ball in balls for kind in ball.panels]
    return Shopping(
        tiles=tiles_of(scene),
        panels=together(panels, workshop.spare_percent),
        cores=tuple(ball.core.diameter for ball in balls if ball.core),
        glue=sum(ball.mass.film + ball.mass.beads for ball in balls),
        cord=sum(ball.hanging.cord for ball in balls),
        hardware=tuple(Hardware(ball.name, ball.hanging.cord, ball.rated) for ball in balls),
    )


def _ball_sheet(scene: Scene, ball: Ball) -> BallSheet:
    workshop, body = scene.workshop, ball.body
    film = workshop.glue_film_mm * _MM
    core = core_of(ball.shape, ball.tile, film) if body.base == "rings" else None
    given = ball.hang.cord_m or workshop.cord_m
    mass = weigh(body, ball.tile.thickness_mm * _MM, workshop, ball.tile.recess_mm * _MM)
    panels = () if core else kinds(body.panels, workshop.spare_percent)
    tiles = kinds(body.tiles, workshop.spare_percent)
    joint_count = 0 if core else len(joints(body.frame).panels)
    parts = parts_of(ball.shape, ball.hang)
    hanging = hang(body, mass, given or _cord_to_overhead(ball))
    corners = np.concatenate([body.panel_corners.reshape(-1, 3), body.tile_corners.reshape(-1, 3)])
    return BallSheet(
        name=ball.name,
        body=body,
        tile_thickness=ball.tile.thickness_mm * _MM,
        pocket=ball.tile.recess_mm * _MM,
        tiles=tiles,
        panels=panels,
        core=core,
        parts=parts,
        order=() if core or parts.rows else upward(body.frame),
        angles=() if core else tuple(angle_kinds(body.frame)),
        joints=joint_count,
        remarks="" if core else remarks(body.frame),
        mass=mass,
        across=2 * body.radius,
        loop=girth(corners),
        hanging=hanging,
        overhead="" if given else f"the {_overhead_of(scene, ball)}",
        rated=workshop.hardware_factor * mass.total,
        wind=wind(body, hanging, workshop.wind_m_s),
        hours=hours(
            len(body.tile_sides), joint_count, sum(kind.with_spares for kind in panels), workshop
        ),
        net=() if core else unfold(body.frame),
    )


def _overhead_of(scene: Scene, ball: Ball) -> str:
    """The name of the surface straight above a ball."""
    above = scene.room.overhead
    return above.names[int(above.parts_of(ball.centre[None])[0])]


def _cord_to_overhead(ball: Ball) -> float:
    """Metres from the hold of the ball straight up to what is overhead there."""
    return ball.overhead - (float(ball.centre[2]) + hold_of(ball.body).height)


def as_figures(whole: Sheet) -> dict[str, Any]:
    """The sheet as plain tables for JSON; every key carries its unit."""
    return {
        "title": whole.title,
        "scene": whole.scene,
        "cannot_be_glued": list(whole.unglued),
        "shopping": _shopping_figures(whole.shopping),
        "balls": [_ball_figures(ball) for ball in whole.balls],
        "workshop": whole.workshop.model_dump(),
        "handling": _lines(HANDLING),
        "cautions": _lines(CAUTIONS),
        "deference": DEFERENCE,
    }


def _lines(cautions: tuple[Caution, ...]) -> list[str]:
    return [f"{caution.about}. {caution.advice}" for caution in cautions]


def _shopping_figures(shopping: Shopping) -> dict[str, Any]:
    return {
        "tiles": [_item_figures(item) for item in shopping.tiles],
        "panels": [_item_figures(item) for item in shopping.panels],
        "cores_mm": [1e3 * diameter for diameter in shopping.cores],
        "glue_g": 1e3 * shopping.glue,
        "cord_m": shopping.cord,
        "safety_line_m": shopping.cord,
        "hardware": [
            {"ball": one.ball, "cord_m": one.cord, "rated_kg": one.rated}
            for one in shopping.hardware
        ],
        "short": list(shopping.short),
    }


def _item_figures(item: Item) -> dict[str, Any]:
    figures = {**_kind_figures(item.kind), "thickness_mm": round(1e3 * item.thickness, 4)}
    return figures if item.owned is None else {**figures, "owned": item.owned, "short": item.short}


def _ball_figures(ball: BallSheet) -> dict[str, Any]:
    mass, hanging, time = ball.mass, ball.hanging, ball.hours
    return {
        "name": ball.name,
        "shape": ball.body.name,
        "across_m": ball.across,
        "tiles": [_kind_figures(kind) for kind in ball.tiles],
        "panels": [_kind_figures(kind) for kind in ball.panels],
        "core": ball.core and _core_figures(ball.core),
        "parts": [_part_figures(part) for part in ball.parts.made],
        "rows_from_below": [_row_figures(row) for row in ball.parts.rows],
        "panels_from_below": list(ball.order),
        "pocket_mm": 1e3 * ball.pocket,
        "joints": ball.joints,
        "remarks": ball.remarks,
        "dihedral_angles": [
            {
                "between_sides": list(kind.sides),
                "inside_deg": math.degrees(kind.angle),
                "bevel_deg": math.degrees(bevel(kind)),
                "count": kind.count,
            }
            for kind in ball.angles
        ],
        "weight_g": {
            "tiles": 1e3 * mass.tiles,
            "panels": 1e3 * mass.panels,
            "glue_under_tiles": 1e3 * mass.film,
            "glue_in_joints": 1e3 * mass.beads,
            "total": 1e3 * mass.total,
        },
        "centre_of_mass_mm": [1e3 * float(value) for value in mass.centre],
        "panels_too_thick_for_their_edges": mass.shrunk,
        "hanging": {
            "hold_above_middle_mm": 1e3 * hanging.hold.height,
            "hold": hanging.hold.kind,
            "off_axis_mm": 1e3 * hanging.offset,
            "tilt_deg": None if hanging.tilt is None else math.degrees(hanging.tilt),
            "cord_m": hanging.cord,
            "cord_goes_up_to": ball.overhead or None,
            "swing_s": hanging.period,
            "pull_n": hanging.pull,
            "panels_that_bear": hanging.holders,
            "pull_a_panel_n": hanging.share,
            "hardware_rated_kg": ball.rated,
        },
        "wind": _wind_figures(ball.wind),
        "loop_m": {"passes": ball.loop.loop, "none_shorter_than": ball.loop.least},
        "hours": time._asdict(),
        "net_pieces": len(ball.net),
    }


def _part_figures(part: Made) -> dict[str, Any]:
    return {
        "letter": part.letter,
        "name": part.name,
        "count": part.number,
        "of": dict(part.of),
        "pieces": {piece.tag: list(piece.of) for piece in part.pieces},
    }


def _row_figures(row: Row) -> dict[str, Any]:
    return {"of": dict(row.of), "pieces": list(row.pieces)}


def _wind_figures(wind: Wind) -> dict[str, Any]:
    return {
        "drag_coefficient": wind.drag,
        "silhouette_mean_cm2": 1e4 * wind.mean,
        "silhouette_largest_cm2": 1e4 * wind.largest,
        "take_down_at_beaufort": TAKE_DOWN,
        "leans": [
            {
                "wind_m_s": lean.speed,
                "beaufort": beaufort(lean.speed),
                "called": FORCES[beaufort(lean.speed)],
                "lean_deg": math.degrees(lean.angle),
                "reach_m": lean.reach,
                "gust_reach_m": lean.gust,
            }
            for lean in wind.leans
        ],
    }


def _core_figures(core: Core) -> dict[str, Any]:
    rings = [
        {"rings": row.number, "tiles_each": row.tiles, "from_equator_mm": 1e3 * row.away}
        for row in core.rings
    ]
    return {"diameter_mm": 1e3 * core.diameter, "rings": rings}


def bevel(kind: AngleKind) -> float:
    """How far from square the side of a panel is cut, rad: inward at a ridge, outward (negative)
    in a valley.
    """
    return 0.5 * (math.pi - kind.angle)


def _kind_figures(kind: Kind) -> dict[str, Any]:
    return {
        "name": kind.name,
        "sides_mm": [round(1e3 * side, 4) for side in kind.sides],
        "needed": kind.needed,
        "with_spares": kind.with_spares,
    }
