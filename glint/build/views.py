"""Pictures of a ball from three sides: parallel views, flat shading, hidden parts cut away."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from glint.shape import polygons
from glint.shape.body import Body
from glint.shape.polygons import Polygons

FINEST = 1e-9
"""Grid on which outlines that nearly touch are computed, as a share of the picture."""

_OVERLAP = 1e-7  # of the body's shadow: less is rounding along a common side


class View(NamedTuple):
    """A parallel view; right, up and toward (the viewer): unit vectors."""

    name: str
    right: tuple[float, float, float]
    up: tuple[float, float, float]
    toward: tuple[float, float, float]


VIEWS = (
    View("from the front", (1, 0, 0), (0, 0, 1), (0, -1, 0)),
    View("from the right", (0, 1, 0), (0, 0, 1), (1, 0, 0)),
    View("from below", (-1, 0, 0), (0, 1, 0), (0, 0, -1)),
)
"""From below as seen lying on one's back, +y up."""


class Seen(NamedTuple):
    """What is seen of one tile or panel. shape: a shapely polygon or several, m; kind: "tile",
    "edge", "panel" or "inside"; tone: 0 black to 1 white.
    """

    shape: shapely.Geometry
    kind: str
    tone: float


DRAWN_PROUD = 1e-4
"""How far a tile that lies flush is drawn above its panel, m, to be seen on it."""


def seen(body: Body, view: View, thickness: float) -> list[Seen]:
    """Every tile, tile edge and panel that a view shows, in the plane of right and up.

    thickness: of what stands proud of the panels, m.
    """
    lift = max(DRAWN_PROUD - thickness, 0.0)
    mirrors = body.tiles._replace(
        corners=body.tiles.corners + lift * polygons.normals(body.tiles)[:, None]
    )
    basis = np.array([view.right, view.up, view.toward], float)
    outlines, kinds, normals = [], [], []
    sides = tile_sides(mirrors, thickness + lift)
    for kind, shapes in (("tile", mirrors), ("edge", sides), ("panel", body.panels)):
        facing = polygons.normals(shapes) @ basis.T
        for corners, count, normal in zip(*shapes, facing, strict=True):
            if abs(normal[2]) < 1e-6 or (normal[2] < 0 and (kind != "panel" or body.closed)):
                continue  # edge-on, or the back of a tile, or the inside of a closed body
            outlines.append(corners[:count] @ basis.T)
            kinds.append(kind if normal[2] > 0 else "inside")
            normals.append(normal)
    flat = np.array([shapely.Polygon(outline[:, :2]) for outline in outlines], object)
    hiding = _hiding(flat, outlines, np.array(normals))
    result = []
    for i, (shape, kind, normal) in enumerate(zip(flat, kinds, normals, strict=True)):
        left = shape if not hiding[i] else _without(shape, flat[hiding[i]])
        if shapely.area(left) > 1e-9 * shapely.area(shape):
            result.append(Seen(left, kind, tone(kind, normal)))
    return result


def _without(shape: shapely.Geometry, others: np.ndarray) -> shapely.Geometry:
    """A polygon less others."""
    try:
        return shapely.difference(shape, shapely.union_all(others))
    except shapely.GEOSException:
        # Outlines that all but touch defeat exact arithmetic; on a fine grid it never fails.
        low_x, low_y, high_x, high_y = shapely.total_bounds(others)
        grid = FINEST * max(high_x - low_x, high_y - low_y)
        hidden = shapely.union_all(shapely.make_valid(others), grid_size=grid)
        return shapely.difference(shapely.make_valid(shape), hidden, grid_size=grid)


def tile_sides(tiles: Polygons, thickness: float) -> Polygons:
    """The narrow sides of the tiles, from the mirror face down to the panel."""
    down = -thickness * polygons.normals(tiles)
    quads = []
    for corners, count, way in zip(*tiles, down, strict=True):
        outline = corners[:count]
        ends = np.roll(outline, -1, axis=0)
        quads.append(np.stack([ends, outline, outline + way, ends + way], axis=1))
    together = np.concatenate(quads)
    return Polygons(together, np.full(len(together), 4))


def _hiding(shapes: np.ndarray, outlines: list[np.ndarray], normals: np.ndarray) -> list[list[int]]:
    """For each polygon those that stand before it. Panels do not cut each other, so one point of
    where two overlap tells which is nearer.
    """
    one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    once = one < other
    one, other = one[once], other[once]
    common = shapely.intersection(shapes[one], shapes[other])
    whole = shapely.area(shapely.box(*shapely.total_bounds(shapes)))
    real = shapely.area(common) > _OVERLAP * whole
    one, other = one[real], other[real]
    points = shapely.get_coordinates(shapely.centroid(common[real]))
    origins = np.array([outline[0] for outline in outlines])
    hiding: list[list[int]] = [[] for _ in shapes]
    nearer = _depth(points, origins[one], normals[one]) > _depth(
        points, origins[other], normals[other]
    )
    for a, b, first in zip(one.tolist(), other.tolist(), nearer.tolist(), strict=True):
        hiding[b if first else a].append(a if first else b)
    return hiding


def _depth(points: np.ndarray, origins: np.ndarray, normals: np.ndarray) -> np.ndarray:
    """How near the planes through origins (n, 3) are to the viewer at points (n, 2)."""
    across = ((points - origins[:, :2]) * normals[:, :2]).sum(axis=1)
    return origins[:, 2] - across / normals[:, 2]


def tone(kind: str, normal: np.ndarray) -> float:
    """How light a facet is drawn; normal (3,): right, up and toward the viewer.

    A panel is matt, lit from the upper left. A mirror shows what stands in the direction in which
    the viewer sees by it: bright above, grey below, darkest towards the viewer.
    """
    light = np.array([-0.45, 0.65, 0.61])
    matt = max(float(normal @ light), 0.0)
    if kind != "tile":
        dark, gain = {"panel": (0.28, 0.20), "edge": (0.50, 0.25), "inside": (0.18, 0.0)}[kind]
        return dark + gain * matt
    reflected = 2 * normal[2] * normal - np.array([0.0, 0.0, 1.0])
    sky = 0.5 + 0.5 * float(reflected @ np.array([-0.35, 0.85, 0.39]))
    return 0.42 + 0.56 * sky**1.3


def view_svg(body: Body, view: View, thickness: float) -> str:
    """A view as the text of an SVG drawing, 100 user units across, the middle of the ball amid."""
    reach = 1.02 * body.radius
    scale = 50.0 / reach
    rows = [
        '<svg class="view" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" role="img" '
        f'aria-label="The ball {view.name}">',
        '<g stroke="#1a1d21" stroke-width=".1" stroke-linejoin="round">',
    ]
    for part in seen(body, view, thickness):
        level = round(255 * part.tone)
        cool = 3 if part.kind == "tile" else 0
        tint = (level - cool, level, min(level + cool, 255))
        colour = "#{:02x}{:02x}{:02x}".format(*tint)
        rows.append(f'<path fill="{colour}" d="{_path(part, scale)}"/>')
    return "\n".join([*rows, "</g>", "</svg>", ""])


def _path(part: Seen, scale: float) -> str:
    rings = []
    for shape in shapely.get_parts(part.shape):
        if shape.geom_type != "Polygon":
            continue  # a line or point along which two only touch
        for ring in (shape.exterior, *shape.interiors):
            points = np.array(ring.coords)[:-1] * scale * (1, -1) + 50.0
            rings.append("M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points) + "Z")
    return "".join(rings)
