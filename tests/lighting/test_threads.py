"""The same light to the last bit, and the same file, on any number of threads."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

SCENES = Path(__file__).parents[2] / "scenes"

DIGESTS = """
import hashlib, sys
from glint.kernels.runtime.threads import threads
import numpy as np
import glint
from glint.lighting.illumination import light
pose = glint.load(sys.argv[1]).at(degrees=10)
found, fates = glint.beams(pose)
# Places behind a window's last corner are never written, so they hold what was there before.
used = np.arange(found.window.shape[1]) < found.sides[:, None]
found = found._replace(window=np.where(used[..., None], found.window, 0.0))
maps = light(pose, 300)
def digest(arrays):
    return hashlib.sha256(b"".join(np.ascontiguousarray(a).tobytes() for a in arrays)).hexdigest()
print(threads())
print(digest([*found, *fates]), digest(m.lux for m in maps.values()), len(found.lamp))
"""


def run(threads: int, *arguments: object) -> str:
    done = subprocess.run(
        [sys.executable, *map(str, arguments)],
        env=os.environ | {"GLINT_THREADS": str(threads)},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


@pytest.mark.parametrize("name", ["lantern", "yardstick"])
def test_beams_and_light_maps_are_the_same_to_the_last_bit(name):
    found = {}
    for threads in (1, 2, 3):
        told, digests = run(threads, "-c", DIGESTS, SCENES / f"{name}.toml").splitlines()
        assert int(told) == threads
        found[threads] = digests
    assert int(found[1].split()[-1]) > 50
    assert found[1] == found[2] == found[3]


def test_a_still_is_the_same_file(tmp_path):
    scene, pictures = SCENES / "spiked-twenty.toml", []
    for threads in (1, 2):
        path = tmp_path / f"{threads}.png"
        run(threads, "-m", "glint", "still", scene, "--at", 10, "--size", 256, "-o", path)
        pictures.append(path.read_bytes())
    assert len(pictures[0]) > 1000
    assert pictures[0] == pictures[1]
