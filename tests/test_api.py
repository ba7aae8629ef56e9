"""The Python interface: a few nouns and verbs, each imported when it is first used."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import glint

SCENE = Path(__file__).parents[1] / "scenes" / "spiked-twenty.toml"


def test_importing_glint_imports_nothing_heavy():
    code = "import sys, glint; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {"numpy", "numba", "pydantic", "click"} & set(done.stdout.split())


@pytest.mark.parametrize("name", glint.__all__)
def test_every_name_is_there_and_says_what_it_is(name):
    assert getattr(glint, name).__doc__
    assert name in dir(glint)


def test_what_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="quince"):
        _ = glint.quince


def test_light_is_a_verb_although_a_folder_has_its_name():
    pose = glint.load(SCENE).at(degrees=10.0)
    maps = glint.light(pose, texels=64)
    assert maps["dome"].lux.shape == (64, 64, 3)
    from glint.photometry.luminaire import Lamp

    assert isinstance(pose.scene.lamps[0], Lamp)


def test_a_picture_in_three_lines():
    picture = glint.draw(glint.load(SCENE).at(seconds=1.0), view="floor", size=64)
    assert picture.shape == (64, 64, 3)
    assert picture.dtype == np.uint8
