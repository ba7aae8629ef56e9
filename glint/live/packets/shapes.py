"""The catalogue's bodies, for a page that lets one choose by their pictures."""

from __future__ import annotations

from functools import cache

import numpy as np

from glint.live.wire import Kind, pack
from glint.shape.bases import solid
from glint.shape.catalogue import catalogue
from glint.shape.polyhedron import panels
from glint.shape.steps import apply_steps
from glint.shape.tables import ShapeTable


def shapes_packet(seq: int) -> bytes:
    """All bodies, each in its own unit: panels alone, one edge long."""
    facts, arrays = _bodies()
    return pack(Kind.SHAPES, facts, arrays, seq)


@cache
def _bodies() -> tuple[dict[str, list[float]], dict[str, np.ndarray]]:
    rows, corners, radii, first = [], [], [], 0
    for number, entry in enumerate(catalogue()):
        plain = solid(entry.base, entry.sides)
        body = apply_steps(plain, ShapeTable.model_validate(entry.name).steps)
        shapes = panels(body)
        for polygon, sides in zip(shapes.corners, shapes.sides.tolist(), strict=True):
            rows.append((first, sides, number, 0))
            corners.append(polygon[:sides])
            first += sides
        radii.append(float(np.linalg.norm(body.vertices, axis=1).max()))
    arrays = {
        "polygon": np.array(rows, np.int32),
        "polygon_corner": np.concatenate(corners).astype(np.float32),
    }
    return {"radius": radii}, arrays
