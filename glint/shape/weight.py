"""What a ball weighs and where its mass is: tiles, panels and glue.

Panels are mitred: along a joint of angle a, a side runs inward by cot(a / 2) of the depth, so the
section of a panel at a depth is its outline with every side moved in, or out in a valley. Its area
is quadratic in the depth, and Simpson's rule gives volume and middle exactly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.flat import laid_flat
from glint.shape.joints import joints
from glint.shape.polyhedron import Polyhedron, dihedral_angles, edges
from glint.shape.tables import WorkshopTable

_KG_M3 = 1e3  # of a gram per cubic centimetre
_MM = 1e-3
_MM2 = 1e-6


class Mass(NamedTuple):
    """tiles, panels, film, beads: kg, film being the glue under the tiles and beads that along the
    joints; centre: (3,) float, m, in the ball's frame; gyration: radius of gyration about a level
    axis through the centre, m, the mean of all such axes; shrunk: panels too thick for their sharp
    edges, so that their inner face is gone.
    """

    tiles: float
    panels: float
    film: float
    beads: float
    centre: np.ndarray
    gyration: float
    shrunk: int

    @property
    def total(self) -> float:
        """All of it, kg; cord, hook and motor are not in it."""
        return self.tiles + self.panels + self.film + self.beads


class Panels(NamedTuple):
    """volumes: (p,) float; depths: (p,) float, of their middles below the outer face; shrunk: (p,)
    bool, as in `Mass`.
    """

    volumes: np.ndarray
    depths: np.ndarray
    shrunk: np.ndarray


def weigh(body: Body, thickness: float, workshop: WorkshopTable, recess: float = 0.0) -> Mass:
    """The mass of a ball with tiles of this thickness, m, in pockets so deep, m: what a pocket
    takes away of its panel is as large as its tile. Each tile, panel and pocket counts as a point
    in its middle, each bead as one in the middle of its joint.
    """
    tile_out = polygons.normals(body.tiles)
    tile_areas = np.linalg.norm(polygons.area_vectors(body.tiles), axis=1)
    tile_middles = polygons.centres(body.tiles)
    panels = mitred_panels(body.frame, workshop.panel_thickness_mm * _MM)
    panel_middles = polygons.centres(body.panels)
    panel_middles = panel_middles - panels.depths[:, None] * polygons.normals(body.panels)
    film = workshop.glue_film_mm * _MM
    glue = workshop.glue_g_cm3 * _KG_M3
    ends = joints(body.frame).ends if body.base != "rings" else np.empty((0, 2, 3))
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    parts = [
        (
            tile_areas * thickness * workshop.glass_g_cm3 * _KG_M3,
            tile_middles - 0.5 * thickness * tile_out,
        ),
        (panels.volumes * workshop.panel_g_cm3 * _KG_M3, panel_middles),
        (
            -tile_areas * recess * workshop.panel_g_cm3 * _KG_M3,
            tile_middles - (thickness - 0.5 * recess) * tile_out,
        ),
        (tile_areas * film * glue, tile_middles - thickness * tile_out),
        (lengths * workshop.seam_bead_mm2 * _MM2 * glue, ends.mean(axis=1)),
    ]
    masses = np.concatenate([part for part, _ in parts])
    places = np.concatenate([place for _, place in parts])
    centre = masses @ places / masses.sum()
    squares = masses @ (places - centre) ** 2 / masses.sum()
    tiles, plastic, pockets, under, along = (float(part.sum()) for part, _ in parts)
    return Mass(
        tiles,
        plastic + pockets,
        under,
        along,
        centre=centre,
        gyration=float(np.sqrt(0.5 * (squares[0] + squares[1]) + squares[2])),
        shrunk=int(panels.shrunk.sum()),
    )


def mitred_panels(frame: Polyhedron, thickness: float) -> Panels:
    """Volume and middle of each panel of this thickness, in the frame's unit; the outline of the
    outer face is the frame's. A rim is cut square.
    """
    slopes = _mitre_slopes(frame)
    rows = []
    for face in frame.faces:
        around = list(zip(face, np.roll(face, -1).tolist(), strict=True))
        rows.append(_panel(laid_flat(frame.vertices[list(face)]), around, slopes, thickness))
    volumes, depths, shrunk = zip(*rows, strict=True)
    return Panels(np.array(volumes), np.array(depths), np.array(shrunk))


def _panel(
    outline: np.ndarray,
    around: list[tuple[int, int]],
    slopes: dict[tuple[int, int], float],
    thickness: float,
) -> tuple[float, float, bool]:
    inward = _inward(outline, np.array([slopes[edge] for edge in around]))
    sides = np.roll(outline, -1, axis=0) - outline
    lengths = np.linalg.norm(sides, axis=1)
    growth = ((np.roll(inward, -1, axis=0) - inward) * sides).sum(axis=1) / lengths
    closing = growth < 0
    # Deeper than this a side has shrunk to nothing, and the panels beside it have met.
    end = float((-lengths[closing] / growth[closing]).min()) if closing.any() else np.inf
    depth = min(thickness, end)
    areas = np.array([_area(outline + z * inward) for z in (0.0, 0.5 * depth, depth)])
    volume = depth / 6 * (areas[0] + 4 * areas[1] + areas[2])
    moment = depth**2 / 6 * (2 * areas[1] + areas[2])
    return float(volume), float(moment / volume), end < thickness


def _mitre_slopes(frame: Polyhedron) -> dict[tuple[int, int], float]:
    """How far a side moves in for each unit of depth, by its two corners in either order."""
    found = edges(frame)
    angles = dihedral_angles(frame)
    with np.errstate(invalid="ignore"):
        slope = np.where(np.isnan(angles), 0.0, 1.0 / np.tan(0.5 * angles))
    pairs = {}
    for (one, other), value in zip(found.ends.tolist(), slope.tolist(), strict=True):
        pairs[one, other] = pairs[other, one] = value
    return pairs


def _inward(outline: np.ndarray, slopes: np.ndarray) -> np.ndarray:
    """How each corner (k, 2) moves when each side k, from corner k on, moves in by slopes (k,)."""
    along = polygons.unit(np.roll(outline, -1, axis=0) - outline)
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    before, shift = np.roll(normal, 1, axis=0), np.roll(slopes, 1)
    turn = before[:, 0] * normal[:, 1] - before[:, 1] * normal[:, 0]
    straight = np.abs(turn) < 1e-9  # two sides in one line move as one
    turn = np.where(straight, 1.0, turn)
    x = (shift * normal[:, 1] - slopes * before[:, 1]) / turn
    y = (before[:, 0] * slopes - normal[:, 0] * shift) / turn
    return np.where(straight[:, None], normal * slopes[:, None], np.stack([x, y], axis=1))


def _area(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(0.5 * (x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
