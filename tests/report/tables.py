"""The scenes that tests of this stage compare."""

from __future__ import annotations

NASTY = "<script>alert('pie')</script> & \"more\""
TABLES = {
    "title": NASTY,
    "room": {"radius_m": 3.0},
    "ball": [{"shape": {"base": "cube"}}],
    "lamp": [{"at_m": [2.0, 0.0, 1.0], "beam_deg": 9.0}],
    "candidate": [
        {"name": "eight", "shape": {"base": "octahedron"}},
        {"name": "<b>twenty</b>", "shape": {"base": "icosahedron"}},
        {"name": "too big", "shape": {"base": "rings", "diameter_m": 4.0}},
    ],
}
