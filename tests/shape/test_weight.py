"""Weights against arithmetic by hand and against solids worked out another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial import ConvexHull, HalfspaceIntersection

from glint.schema.tables import WorkshopTable
from glint.shape import polygons
from glint.shape.bases import solid
from glint.shape.joints import joints
from glint.shape.polyhedron import panels
from glint.shape.weight import mitred_panels, weigh
from tests.build.tables import OPEN_4, WORKSHOP, body, scene


def test_a_cube_by_hand():
    mass = weigh(body("cube"), 0.002, WORKSHOP)
    # Tiles: six of 25 x 25 x 2 mm at 2.5 mg/mm3.
    assert mass.tiles == pytest.approx(6 * 25 * 25 * 2 * 2.5e-6)
    # Panels: a cube of 32 mm with one of 26 mm hollowed out, at 1.24 mg/mm3.
    assert mass.panels == pytest.approx((32**3 - 26**3) * 1.24e-6)
    # Glue: 0.15 mm under each tile, and twelve beads of 4 mm2 and 32 mm, at 1.1 mg/mm3.
    assert mass.film == pytest.approx(6 * 25 * 25 * 0.15 * 1.1e-6)
    assert mass.beads == pytest.approx(12 * 32 * 4 * 1.1e-6)
    assert mass.total == pytest.approx(mass.tiles + mass.panels + mass.film + mass.beads)
    assert mass.centre == pytest.approx([0, 0, 0], abs=1e-12)


# Radius of the inscribed sphere over the edge (Coxeter, Regular Polytopes, table I).
INRADII = {
    "tetrahedron": math.sqrt(6) / 12,
    "cube": 0.5,
    "octahedron": math.sqrt(6) / 6,
    "dodecahedron": 0.5 * math.sqrt((25 + 11 * math.sqrt(5)) / 10),
    "icosahedron": (3 * math.sqrt(3) + math.sqrt(15)) / 12,
}


@pytest.mark.parametrize("base", INRADII)
def test_mitred_panels_are_the_solid_less_a_smaller_one(base):
    frame = solid(base)
    made = mitred_panels(frame, 0.06)
    whole = ConvexHull(frame.vertices).volume
    left = (1 - 0.06 / INRADII[base]) ** 3
    assert made.volumes.sum() == pytest.approx(whole * (1 - left), rel=1e-9)
    assert not made.shrunk.any()


def test_mitres_of_ridges_and_valleys_are_the_planes_that_halve_the_angles():
    frame = body("rhombicosidodecahedron", ({"do": "raise", "sides": 5},)).frame
    thickness = 0.003
    made = mitred_panels(frame, thickness)
    found = joints(frame)
    assert (found.angles > math.pi).any() and (found.angles < math.pi).any()
    out = polygons.normals(panels(frame))
    middles = polygons.centres(panels(frame))
    for panel in (0, 40, 109):
        walls = [(*out[panel], -out[panel] @ middles[panel])]
        walls.append((*-out[panel], out[panel] @ middles[panel] - thickness))
        for pair, ends in zip(found.panels, found.ends, strict=True):
            if panel in pair:
                other = pair[0] if pair[1] == panel else pair[1]
                halving = polygons.unit(out[panel] + out[other])
                wall = np.cross(halving, polygons.unit(ends[1] - ends[0]))
                wall *= -np.sign(wall @ (middles[panel] - ends[0]))
                walls.append((*wall, -wall @ ends[0]))
        inside = middles[panel] - 0.5 * thickness * out[panel]
        corners = HalfspaceIntersection(np.array(walls), inside).intersections
        assert made.volumes[panel] == pytest.approx(ConvexHull(corners).volume, rel=1e-6)


def test_panels_thicker_than_the_body_are_told_and_only_fill_it():
    frame = solid("octahedron")
    thick = mitred_panels(frame, 1.1 * INRADII["octahedron"])
    assert thick.shrunk.all()
    # Then each is a pyramid down to the middle; the volume is sqrt(2) / 3 (Coxeter).
    assert thick.volumes.sum() == pytest.approx(math.sqrt(2) / 3)
    assert thick.depths == pytest.approx(INRADII["octahedron"] / 4)
    assert not mitred_panels(frame, 0.9 * INRADII["octahedron"]).shrunk.any()


def test_a_box_without_its_lid_has_its_middle_where_arithmetic_puts_it():
    bare = WorkshopTable(
        panel_thickness_mm=0.1, panel_g_cm3=0.01, glue_film_mm=0.0, seam_bead_mm2=0.0
    )
    mass = weigh(body("cube", (OPEN_4,), by="opening"), 0.002, bare)
    # Four tiles round the sides, and one below, whose middle is 16 + 1 mm under the centre; the
    # panels weigh next to nothing.
    assert mass.centre == pytest.approx([0, 0, -0.017 / 5], abs=2e-5)


def test_the_radius_of_gyration_of_a_thin_shell():
    ball = body("icosahedron", ({"do": "split", "sides": 3, "frequency": 4},))
    assert 0.6 * ball.radius < weigh(ball, 0.002, WORKSHOP).gyration < ball.radius
    # Every point on a sphere of radius r: the mean square distance from an axis is 2 r² / 3.
    rings = scene({"shape": {"base": "rings", "diameter_m": 0.5}}).balls[0].body
    gyration = weigh(rings, 0.002, WORKSHOP).gyration
    assert gyration == pytest.approx(math.sqrt(2 / 3) * rings.radius, rel=0.02)
