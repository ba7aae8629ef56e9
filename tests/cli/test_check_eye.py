"""`glint check` says what `glint still --view eye` would refuse, and what to do about it."""

from __future__ import annotations

import pytest

from tests.cli.command import printed, told

SCENE = """
title = "Pears"
[room]
{room}
[[ball]]
shape = {{ base = "cube" }}
hang = {{ height_m = 1.8 }}
[eye]
{eye}
"""
BELL = 'kind = "bell"\nradius_m = 3.0\nrise_m = 2.6\nwall_m = 0.9'


@pytest.mark.parametrize(
    ("room", "eye", "warning"),
    [
        ("radius_m = 4.0", "at_m = [0.0, -3.9, 1.2]", "the roof is 0.89 m high there; lower, or"),
        ("radius_m = 4.0", "at_ft = [0.0, -12.8, 4.0]", "the roof is 2.887 ft high there"),
        (BELL, "at_m = [0.0, -2.7, 1.3]", "the roof is 1.16 m high there; lower, or nearer in"),
        (BELL, "at_m = [0.0, -3.7, 0.3]", "which ends before it: nearer to the middle"),
        (BELL, "at_m = [0.0, 0.01, 1.3]", "a point beside the pole"),
        ("radius_m = 4.0", "at_m = [0.0, 0.0, 1.8]", "a point outside the ball"),
        ("radius_m = 4.0", "at_m = [0.0, 0.0, -1.0]", "above its floor"),
        ("radius_m = 4.0", "at_m = [0.0, -2.0, 1.2]", None),
    ],
)
def test_an_eye_that_the_eyes_view_refuses_is_warned_of(tmp_path, room, eye, warning):
    (tmp_path / "a.toml").write_text(SCENE.format(room=room, eye=eye))
    said = printed("check", "a.toml", cwd=tmp_path)
    if warning is None:
        assert "warning" not in said
        return
    (line,) = (line for line in said.splitlines() if line.startswith("warning: "))
    assert warning in line and "--view eye refuses this scene" in line
    assert warning in told("still", "a.toml", "--view", "eye", cwd=tmp_path)
