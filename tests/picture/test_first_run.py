"""The first run: two processes compile what it will need, half each, and nothing else."""

from __future__ import annotations

import subprocess
import sys

from glint.optics.lightmap import _light_halls
from glint.optics.outline import _seen
from glint.optics.spill import _spill_halls
from glint.optics.tone import _develop_rows
from glint.optics.trace import _trace
from glint.picture import first_run
from glint.picture.still import draw
from glint.rig.scene import build
from glint.scene.read import scene_of

KERNELS = (_trace, _seen, _spill_halls, _light_halls, _develop_rows)


class Started:
    """A process that is already done."""

    def wait(self) -> int:
        return 0


def test_what_is_compiled_ahead_is_what_a_still_wants():
    first_run.follow_and_shade()
    first_run.light_and_draw()
    ahead = [set(kernel.signatures) for kernel in KERNELS]
    assert all(ahead)
    draw(build(scene_of(first_run.SMALLEST)).at(degrees=3.0), size=64)
    assert [set(kernel.signatures) for kernel in KERNELS] == ahead


def test_only_the_first_run_starts_a_second_process(monkeypatch):
    started = []

    def start(command, **_):
        started.append(command)
        return Started()

    monkeypatch.setattr(subprocess, "Popen", start)
    monkeypatch.setattr(first_run, "is_cold", lambda: False)
    first_run.compile_ahead()
    assert started == []
    monkeypatch.setattr(first_run, "is_cold", lambda: True)
    first_run.compile_ahead()
    assert started == [[sys.executable, "-m", "glint.picture.first_run"]]
