"""Which part of a run takes how long: functions of glint are wrapped, here and nowhere else.

A stage's time is its own: what another stage takes within it counts there. Threads are kept apart,
as a loop's frames are made by one while another encodes them.
"""

from __future__ import annotations

import functools
import inspect
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from types import ModuleType
from typing import Any

NEEDED = {
    "still": (
        "cli.still",
        "render.still",
        "render.writers.png",
        "render.writers.provenance",
        "render.canvas",
        "render.npz",
        "lighting.long_exposure",
    ),
    "loop": ("cli.loop", "render.loop", "render.writers.mp4"),
}
NEEDED_BY_ALL = (
    "cli.entry",
    "render.warm_up",
    "render.eye.view",
    "kernels.image.tone_mapping",
    "scene.scene",
)
"""Modules that a command imports sooner or later; here at once, so that all imports are one
stage."""

STAGES = {
    "numba.core.dispatcher:Dispatcher.compile": "kernels",
    "glint.scene.build:load": "scene",
    "glint.lighting.illumination:beams": "scene",  # balls posed, occluders, lamps' tables
    "glint.kernels.beams.trace:trace": "trace",
    "glint.lighting.illumination:lit": "map",
    "glint.lighting.incremental:IncrementalLightMap.__init__": "map",
    "glint.lighting.incremental:IncrementalLightMap.show": "map",
    "glint.lighting.shadows:silhouettes": "map",
    "glint.render.eye.view:EyeView.__init__": "eye",
    "glint.render.eye.view:EyeView.light": "eye",
    "glint.render.eye.view:EyeView.draw": "eye",
    "glint.render.eye.frames:EyeFilm.__init__": "eye",
    "glint.render.still:luminance": "tone",
    "glint.render.tone.mapping:auto_exposure": "tone",
    "glint.render.tone.mapping:to_picture": "tone",
    "glint.render.tone.eye_exposure:eye_exposure": "tone",
    "glint.render.canvas:centred": "tone",
    "glint.render.writers.png:write_png": "write",
    "glint.render.loop:write_movie": "write",
    "glint.files.atomic:bring_to_disk": "write",
    "glint.parallel.prefetch:prepared": "waits",  # for the next frame
}
"""What is wrapped, and the stage that it belongs to."""

ORDER = ("start", "kernels", "scene", "trace", "map", "eye", "tone", "write", "waits")
"""All stages; "start" is the interpreter and all imports."""


class Watch:
    """Stop watches that run one inside another, for each thread by itself.

    seconds: of every stage, without those within it, by thread: True for the main one
    """

    def __init__(self, clock: Callable[[], float] = time.perf_counter) -> None:
        self.clock = clock
        self.seconds: dict[bool, defaultdict[str, float]] = {
            main: defaultdict(float) for main in (True, False)
        }
        self._running = threading.local()

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """The block's time goes to this stage."""
        names, since = self._stack()
        main = threading.current_thread() is threading.main_thread()
        own = self.seconds[main]

        def to_here() -> None:
            now = self.clock()
            if names:
                own[names[-1]] += now - since[0]
            since[0] = now

        to_here()
        names.append(name)
        try:
            yield
        finally:
            to_here()
            names.pop()

    def wrapped(self, function: Callable[..., Any], name: str) -> Callable[..., Any]:
        """The function, timed; of a generator, the time to its next value."""
        if inspect.isgeneratorfunction(function):

            @functools.wraps(function)
            def each(*arguments: Any, **named: Any) -> Iterator[Any]:
                values, nothing = function(*arguments, **named), object()
                try:
                    while True:
                        with self.stage(name):
                            value = next(values, nothing)
                        if value is nothing:
                            return
                        yield value
                finally:
                    values.close()

            return each

        @functools.wraps(function)
        def once(*arguments: Any, **named: Any) -> Any:
            with self.stage(name):
                return function(*arguments, **named)

        return once

    def _stack(self) -> tuple[list[str], list[float]]:
        if not hasattr(self._running, "stack"):
            self._running.stack = ([], [0.0])
        return self._running.stack


def import_for(command: str) -> None:
    """Import what a command will need."""
    for name in (*NEEDED_BY_ALL, *NEEDED[command]):
        import_module(f"glint.{name}")


def wrap_all(watch: Watch) -> None:
    """Wrap all of STAGES that is imported, under every name that a module of glint has for it."""
    modules = [m for name, m in list(sys.modules.items()) if name.split(".")[0] == "glint"]
    for place, stage in STAGES.items():
        name, _, path = place.partition(":")
        if name in sys.modules:
            _wrap(watch, sys.modules[name], path, stage, modules)


def _wrap(watch: Watch, home: ModuleType, path: str, stage: str, modules: list[ModuleType]) -> None:
    *owners, last = path.split(".")
    owner = functools.reduce(getattr, owners, home)
    honest = getattr(owner, last)
    timed = watch.wrapped(honest, stage)
    setattr(owner, last, timed)
    if not owners:
        for module in modules:
            for key, value in list(vars(module).items()):
                if value is honest:
                    setattr(module, key, timed)
