"""Kernels compiled with numba's private classes and plainly: the same to the last bit."""

from __future__ import annotations

import os
import subprocess
import sys

import numba
import pytest

from glint.kernels.runtime.way import takes_private_way

BOTH = """
import hashlib, pickle
import numpy as np
from glint.kernels.geometry.occluder_lists import occluder_lists
from glint.kernels.illuminance.penumbra import quad_of, seen_of_lens
from glint.kernels.runtime.way import PRIVATE
from glint.render.warm_up import SMALLEST
from glint.lighting.shadows import silhouettes
from glint.scene.build import build
from glint.schema.read import scene_of
pose = build(scene_of(SMALLEST)).at(degrees=20.0)
r = np.random.default_rng(1)
square = np.array([[-1.0, 1.0, 1.0, -1.0], [-1.0, -1.0, 1.0, 1.0], [0.0, 0.0, 0.0, 0.0]])
seen = []
for _ in range(2000):
    corners = square * r.uniform(0.2, 2.0) + r.uniform(-1.0, 1.0, (3, 1)) * [[1], [1], [0]]
    seen.append(seen_of_lens(*r.uniform(-1.0, 1.0, 2), 9.0, quad_of(corners), r.uniform(0.3, 3.0)))
assert len(set(seen)) > 1000
found = [np.array(seen).tobytes(), pickle.dumps([silhouettes(pose), occluder_lists(pose.polygons)])]
print(PRIVATE, *(hashlib.sha256(part).hexdigest() for part in found))
"""
"""Kernels that share arrays among threads, contracted and folded ones, and ones that call others:
few, for compiling takes long. A whole still is the same too."""


def run(plain: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", BOTH],
        env={**os.environ, "GLINT_PLAIN_NUMBA": plain},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.split()


def test_results_are_the_same_either_way():
    private, *one = run("")
    plain, *other = run("1")
    assert private == str(takes_private_way(numba.__version__, ""))
    assert plain == "False"
    assert one == other


@pytest.mark.parametrize(
    "version, wish, private",
    [
        ("0.68.1", "", True),
        ("0.61.0rc1", "", True),
        ("0.68.1", "1", False),
        ("0.59.1", "", False),
        ("0.6", "", False),
        ("0.610.0", "", False),
        ("1.0.0", "", False),
    ],
)
def test_only_versions_that_were_tried_are_compiled_the_private_way(version, wish, private):
    assert takes_private_way(version, wish) is private
