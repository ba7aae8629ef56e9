"""How the sizes of tiles, panels and openings go together."""

from __future__ import annotations

import math
from collections.abc import Iterator

from glint.errors import Problem, in_words, problem_at
from glint.schema.raw import Raw, number, pair
from glint.schema.tables import TileTable

NARROWEST_MM = 0.01
"""Least width of a seam or cut, or diameter of a hole, if there is one: nobody makes finer ones."""


def check_tile(own: Raw, scene: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    if not own:
        return
    both = {**scene, **own}
    joint = pair(own.get("joint_deg"))
    if joint is not None and not joint[0] < joint[1]:
        yield problem_at((*path, "joint_deg"), own["joint_deg"], "the smaller angle first")
    edge, panel = number(TileTable, both, "edge_mm"), number(TileTable, both, "panel_edge_mm")
    yield from _check_openings(both, path, panel, number(TileTable, both, "hole_mm"))
    yield from _check_pocket(own, both, path)
    if edge is None or panel is None or edge <= panel:
        return
    if "edge_mm" in own:
        allowed = f"at most the panel's edge, panel_edge_mm = {in_words(panel)}"
        yield problem_at((*path, "edge_mm"), edge, allowed)
    elif "panel_edge_mm" in own:
        allowed = f"at least the tile's edge, edge_mm = {in_words(edge)}"
        yield problem_at((*path, "panel_edge_mm"), panel, allowed)


def _check_pocket(own: Raw, both: Raw, path: tuple[str | int, ...]) -> Iterator[Problem]:
    recess, thickness = (
        number(TileTable, both, "recess_mm"),
        number(TileTable, both, "thickness_mm"),
    )
    if recess is None or thickness is None or recess <= thickness:
        return
    if "recess_mm" in own:
        allowed = f"at most the tile's thickness, thickness_mm = {in_words(thickness)}"
        yield problem_at((*path, "recess_mm"), recess, allowed)
    elif "thickness_mm" in own:
        allowed = f"at least the depth of the panel's pocket, recess_mm = {in_words(recess)}"
        yield problem_at((*path, "thickness_mm"), thickness, allowed)


def _check_openings(
    tile: Raw, path: tuple[str | int, ...], panel: float | None, hole: float | None
) -> Iterator[Problem]:
    """A triangular panel must keep some of every side, and more than its hole: its inscribed
    circle has a radius of edge / (2 sqrt 3)."""
    seam, cut = number(TileTable, tile, "seam_mm"), number(TileTable, tile, "corner_cut_mm")
    for key, width in (("seam_mm", seam), ("corner_cut_mm", cut), ("hole_mm", hole)):
        if width is not None and 0.0 < width < NARROWEST_MM:
            yield problem_at((*path, key), width, f"0, or at least {NARROWEST_MM:g} mm")
    if panel is None or seam is None or cut is None or hole is None:
        return
    widest = panel / math.sqrt(3.0)
    if seam >= widest:
        allowed = (
            f"less than {widest:.2f} mm, or nothing is left of a panel of {in_words(panel)} mm"
        )
        yield problem_at((*path, "seam_mm"), seam, allowed)
    elif 2.0 * cut >= panel:
        allowed = f"less than half the panel's edge, panel_edge_mm = {in_words(panel)}"
        yield problem_at((*path, "corner_cut_mm"), cut, allowed)
    elif hole >= widest - seam:
        allowed = f"less than {widest - seam:.2f} mm, what the seams leave of a triangle's height"
        yield problem_at((*path, "hole_mm"), hole, allowed)
