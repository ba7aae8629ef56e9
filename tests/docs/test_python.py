"""The examples of the Python page run, one after the other."""

from __future__ import annotations

import re
from pathlib import Path

PAGE = Path(__file__).parents[2] / "shared" / "docs" / "python.md"


def test_the_examples_run_in_order(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    known: dict = {}
    for block in re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL):
        exec(block, known)
    assert known["lux"].shape == (256, 256, 3) and known["lux"].max() > 0.0
    assert abs(known["lost"][0]) < 0.01
    assert known["again"].balls[0].centre[2] == 2.0
    assert known["visible"] > 0.0 and len(known["answers"]) == 2
    assert len(known["columns"]["lumens"]) == len(known["spots"])
    assert {path.name for path in tmp_path.iterdir()} == {"lower.toml", "star.glb", "star.mp4"}
