"""The small drawings of the catalogue, against what must be in them."""

from __future__ import annotations

import numpy as np
import pytest

from glint.report.thumbnail import EYE, look_at, posed, thumbnail
from glint.shape import polygons
from glint.shape.body import build_body
from glint.shape.tables import HangTable, ShapeTable, TileTable

SIZE = 96


def body_of(name, **tile):
    return build_body(ShapeTable.model_validate(name), TileTable(**tile), HangTable())


def drawn(name, **tile):
    return thumbnail(body_of(name, **tile), SIZE).astype(int)


def is_inside(point, corners, normal):
    """Whether a point of its plane lies well inside a triangle (3, 3)."""
    sides = np.roll(corners, -1, axis=0) - corners
    return (np.cross(sides, point - corners) @ normal > 1e-3).all()


def bright(picture):
    return picture.sum(axis=2) > 3 * 150


def test_a_body_is_in_the_middle_of_a_dark_ground_and_a_cord_above_it():
    picture = drawn("icosahedron")
    assert picture.shape == (SIZE, SIZE, 3)
    ground = picture[[2, 2, -3, -3], [2, -3, 2, -3]]
    assert ground.max() < 40
    middle = slice(SIZE // 4, 3 * SIZE // 4)
    assert picture[middle, middle].mean() > 2 * ground.mean()
    column = picture[1, :, :].sum(axis=1)
    assert abs(int(column.argmax()) - SIZE // 2) <= 1 and column.max() > column.mean() + 60


def test_mirrors_are_brighter_and_more_various_than_panels():
    """Large tiles leave little of the panels, small ones nearly nothing of the mirrors."""
    mirrors, panels = drawn("snub cube", edge_mm=31.9), drawn("snub cube", edge_mm=1.0)
    assert bright(mirrors).sum() > 20 * max(bright(panels).sum(), 1)
    middle = slice(SIZE // 4, 3 * SIZE // 4)
    assert mirrors[middle, middle].std() > 2 * panels[middle, middle].std()


@pytest.mark.parametrize("size", [64, 256])
def test_a_cube_by_its_corner_shows_its_front_and_no_gap(size):
    faces = posed(body_of("cube", edge_mm=16.0, panel_edge_mm=32.0, thickness_mm=0.1))
    shown = look_at(faces, size).face
    panels = np.unique(shown[(shown >= 0) & (shown < 6)])
    tiles = np.unique(shown[shown >= len(faces[0].sides)]) - len(faces[0].sides)
    assert len(panels) in (2, 3) and panels.tolist() == tiles.tolist()
    # Every row of the outline is covered from end to end, as a convex body is.
    for row in shown >= 0:
        there = np.flatnonzero(row)
        assert there.size == 0 or there.size == np.ptp(there) + 1
    # A tile of half the edge covers a quarter of its face, as nearly as perspective lets it.
    share = (shown >= len(faces[0].sides)).sum() / (shown >= 0).sum()
    assert share == pytest.approx(0.25, abs=0.02)
    # A corner is up, above the middle: the highest sample is near the middle column.
    top = np.flatnonzero((shown >= 0).any(axis=1))[0]
    assert np.flatnonzero(shown[top] >= 0).mean() == pytest.approx(size / 2, abs=0.03 * size)


def test_what_is_nearer_hides_what_is_behind():
    """Each face that is seen looks towards the eye, also where spikes hide each other."""
    faces = posed(body_of("icosahedron, triangles raised"))
    shown = look_at(faces, 128)
    normals = np.concatenate([polygons.normals(one) for one in faces])
    there = shown.face >= 0
    assert ((normals[shown.face[there]] * shown.ray[there]).sum(axis=1) < 0).all()
    # The ray through a sample meets no plane of a face it hits nearer than that of the face shown.
    middles = np.concatenate([polygons.centres(one) for one in faces])
    rows, columns = np.nonzero(there)
    for row, column in list(zip(rows, columns, strict=True))[::97]:
        ray, face = shown.ray[row, column], shown.face[row, column]
        distances = ((middles - EYE) * normals).sum(axis=1) / (normals @ ray)
        place = EYE + distances[:, None] * ray
        for number, shapes in enumerate(faces):
            start = number * len(faces[0].sides)
            for one, corners in enumerate(shapes.corners):
                if is_inside(place[start + one], corners[:3], normals[start + one]):
                    assert distances[start + one] > distances[face] - 1e-2


@pytest.mark.parametrize("name", ["tetrahedron", "icosahedron, triangles spiked 2 levels deep"])
def test_the_same_body_gives_the_same_picture(name):
    assert (drawn(name) == drawn(name)).all()
