"""The first run: two processes compile what it will need, half each, and nothing else."""

from __future__ import annotations

from concurrent.futures import Future

from glint.kernels.beams.trace import _trace
from glint.kernels.geometry.silhouette import _seen
from glint.kernels.illuminance.direct_light import _light_directly
from glint.kernels.illuminance.light_map import _light_nodes
from glint.kernels.image.tone_mapping import _develop_rows
from glint.render import warm_up as first_run
from glint.render.still import draw
from glint.scene.build import build
from glint.schema.read import scene_of

KERNELS = (_trace, _seen, _light_directly, _light_nodes, _develop_rows)


def test_what_is_compiled_ahead_is_what_a_still_wants():
    first_run.follow_and_shade()
    first_run.light_and_draw()
    ahead = [set(kernel.signatures) for kernel in KERNELS]
    assert all(ahead)
    draw(build(scene_of(first_run.SMALLEST)).at(degrees=3.0), size=64)
    assert [set(kernel.signatures) for kernel in KERNELS] == ahead


def test_only_the_first_run_starts_a_second_process(monkeypatch):
    started = []

    class Started:
        """What stands for processes: it notes what it is asked."""

        def __init__(self, count):
            self.count = count

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def submit(self, function):
            started.append((self.count, function.__name__))
            done: Future[None] = Future()
            done.set_result(None)
            return done

    monkeypatch.setattr(first_run, "Processes", Started)
    monkeypatch.setattr(first_run, "is_cold", lambda: False)
    first_run.compile_ahead()
    assert started == []
    monkeypatch.setattr(first_run, "is_cold", lambda: True)
    first_run.compile_ahead()
    assert started == [(1, "light_and_draw")]
