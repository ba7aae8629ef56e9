"""What stands in front of a tile, against every pair looked at plainly."""

from __future__ import annotations

import numpy as np
import pytest

from glint.errors import SceneError
from glint.kernels.geometry import occluder_lists as occluders
from glint.kernels.geometry.occluder_lists import RISE, occluder_lists
from glint.lighting.prepared import lighting_of
from glint.scene.build import build
from glint.schema.read import scene_of

SPIKED = {"base": "octahedron", "steps": [{"do": "spike", "sides": 3, "levels": 1}]}
RINGS = {"base": "rings", "diameter_m": 0.3}


def scene(*shapes, **tile):
    balls = [
        {"shape": shape, "hang": {"height_m": 2.0, "at_m": [n, 0.0]}}
        for n, shape in enumerate(shapes)
    ]
    tables = {"room": {"radius_m": 6.0}, "tile": {"thickness_mm": 1.0, **tile}, "ball": balls}
    return build(scene_of(tables))


@pytest.mark.parametrize("shapes", [(SPIKED,), (RINGS,), (SPIKED, RINGS, SPIKED)])
def test_lists_are_those_of_all_pairs(shapes):
    found = scene(*shapes, tilt_sd_deg=3.0).still_polygons
    start, index = occluder_lists(found)
    some = range(0, len(found.sides), 7)
    for i in some:
        wanted = []
        if found.mirror[i]:
            for j in np.flatnonzero(found.ball == found.ball[i]):
                corners = found.corners[j, : found.sides[j]] - found.corners[i, 0]
                if j != i and (corners @ found.normals[i]).max() > RISE:
                    wanted.append(j)
        assert sorted(index[start[i] : start[i + 1]].tolist()) == wanted
    assert len(index) > 0


def test_lists_that_no_memory_holds_are_refused(monkeypatch):
    monkeypatch.setattr(occluders, "MOST", 1000)
    with pytest.raises(SceneError, match=r"\[\[ball\]\]: found .* tiles on bodies so rugged"):
        _ = lighting_of(scene(SPIKED, SPIKED)).occluders
