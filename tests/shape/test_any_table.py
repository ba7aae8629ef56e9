"""Whatever a scene's tables say within their bounds is built whole, or refused in one line."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.errors import ShapeError
from glint.schema.tables import HangTable, ShapeTable, TileTable
from glint.shape import polygons
from glint.shape.bases import BASES
from glint.shape.body import build_body
from glint.shape.steps import STEPS as KINDS_OF_STEP

OWN = {"frequency": st.integers(2, 5), "levels": st.integers(1, 3), "turned": st.booleans()}
STEPS = st.one_of(
    st.builds(
        kind,
        sides=st.sampled_from([3, 3, 4, 5, 6, 8, 10, 12]),
        count=st.none() | st.integers(1, 20),
        **{key: value for key, value in OWN.items() if key in kind.model_fields},
    )
    for kind in KINDS_OF_STEP.values()
)
SHAPES = st.builds(
    ShapeTable,
    base=st.sampled_from(list(BASES)),
    steps=st.lists(STEPS, max_size=3).map(tuple),
    diameter_m=st.none() | st.floats(0.02, 2.0),
    frequency=st.none() | st.integers(1, 8),
    gap_mm=st.floats(0.0, 20.0),
    sides=st.none() | st.integers(3, 12),
)
TILES = st.builds(
    TileTable,
    edge_mm=st.floats(5.0, 32.0),
    panel_edge_mm=st.just(32.0),
    thickness_mm=st.floats(0.1, 50.0),
    joint_deg=st.none() | st.just((60.0, 240.0)),
    tilt_sd_deg=st.sampled_from([0.0, 0.0, 3.0, 20.0]),
)
KINDS = st.none() | st.sampled_from([3, 4, 5])
WAYS = st.sampled_from(["vertex", "face", "edge", "opening"])
HANGS = st.builds(HangTable, sides=KINDS) | st.builds(HangTable, by=WAYS, sides=KINDS)


@settings(max_examples=400, deadline=None)
@given(SHAPES, TILES, HANGS)
def test_built_whole_or_refused(shape: ShapeTable, tile: TileTable, hang: HangTable):
    try:
        body = build_body(shape, tile, hang)
    except ShapeError as error:
        assert error.key.split(" ")[0] in {
            "shape.base",
            "shape.steps",
            "shape.sides",
            "shape.diameter_m",
            "shape.frequency",
            "hang.by",
            "hang.sides",
            "tile.thickness_mm",
            "tile.joint_deg",
        }
        assert "\n" not in str(error)
        return
    assert len(body.tile_sides) == len(body.tile_panel) == len(body.tile_corners) > 0
    for shapes in (body.panels, body.tiles):
        assert np.isfinite(shapes.corners).all()
        assert (np.linalg.norm(polygons.area_vectors(shapes), axis=1) > 1e-9).all()
        assert shapes.corners.shape[1] == body.panel_corners.shape[1]
    assert body.symmetry >= 1
    assert body.closed == all(not step.opens for step in shape.steps)
