"""The first run after an installation: two processes compile at once.

Kernels are compiled where they are first needed, one after the other, which takes one core most of
half a minute. While this process builds its scene and compiles what follows the light, a second one
compiles what lights and draws surfaces, and leaves it in the cache that both share. That only
saves time: what the second process does not do, the first does for itself.
"""

from __future__ import annotations

import subprocess
import sys

from glint.optics.arrays import NO_BEAMS
from glint.optics.compile import is_cold
from glint.picture.still import picture_of
from glint.rig.light import lit
from glint.rig.scene import build
from glint.scene.read import scene_of

SMALLEST = {
    "room": {"radius_m": 3.0},
    "ball": [{"shape": {"base": "cube"}}],
    "lamp": [{"at_m": [2.0, 0.0, 1.0]}],
}
"""A scene as small as can be."""


def compile_ahead() -> None:
    """Have a second process compile what lights and draws, where nothing is compiled yet."""
    if is_cold():
        nobody = subprocess.DEVNULL
        subprocess.Popen(
            [sys.executable, "-m", __name__], stdin=nobody, stdout=nobody, stderr=nobody
        )


def light_and_draw() -> None:
    """Light a room without any beams, and draw it."""
    scene = build(scene_of(SMALLEST))
    picture_of(
        lit(scene.at(degrees=0.0), NO_BEAMS, 64, scene.room.surfaces[0].name), room=scene.room
    )


if __name__ == "__main__":
    light_and_draw()
