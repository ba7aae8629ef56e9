"""The smoke test notices what is broken."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from tests.smoke.__main__ import STEPS, Step, run, warnings_in
from tests.smoke.outputs import CHECKS, UnsoundError, check, look_at

NOISE = np.random.default_rng(1).integers(0, 256, (64, 64, 3), np.uint8)


def test_a_picture_must_decode_and_show_something(tmp_path):
    path = tmp_path / "a.png"
    with pytest.raises(UnsoundError, match="not written"):
        check(path)
    Image.fromarray(NOISE).save(path)
    check(path)
    path.write_bytes(path.read_bytes()[:2000])
    with pytest.raises(UnsoundError, match=r"a\.png"):
        check(path)
    Image.fromarray(np.full_like(NOISE, 7)).save(path)
    with pytest.raises(UnsoundError, match="one colour"):
        check(path)


def test_frames_of_a_film_differ(tmp_path):
    first, second = Image.fromarray(NOISE), Image.fromarray(NOISE[::-1])
    path = tmp_path / "a.gif"
    first.save(path, save_all=True, append_images=[second], duration=100)
    check(path)
    stack = np.stack([np.zeros_like(NOISE), NOISE, NOISE])
    with pytest.raises(UnsoundError, match="0 is of one colour"):
        look_at(list(stack))
    with pytest.raises(UnsoundError, match="0 and 1 are the same"):
        look_at(list(stack[1:]))


@pytest.mark.parametrize("lux", [np.zeros((2, 2, 3)), np.full((2, 2, 3), np.nan)])
def test_arrays_of_nothing(tmp_path, lux):
    path = tmp_path / "a.npz"
    np.savez(path, dome_lux=np.ones((2, 2, 3)))
    check(path)
    np.savez(path, dome_lux=lux)
    with pytest.raises(UnsoundError, match="dome_lux"):
        check(path)


@pytest.mark.parametrize("ending", sorted(CHECKS))
def test_an_empty_file_is_nothing_of_any_kind(tmp_path, ending):
    path = tmp_path / f"a{ending}"
    path.touch()
    with pytest.raises(UnsoundError):
        check(path)


def test_which_warnings_count():
    ours = "/somewhere/site-packages/glint/optics/spot.py:18: DeprecationWarning: going away"
    theirs = "/somewhere/site-packages/other/spot.py:18: DeprecationWarning: going away"
    visible = "/somewhere/site-packages/other/spot.py:18: RuntimeWarning: divided by zero"
    assert warnings_in("\n".join([ours, theirs, "wrote a.png", visible])) == [ours, visible]


def test_a_command_that_fails_or_says_something_else(tmp_path):
    with pytest.raises(UnsoundError, match="exit status 2"):
        run(Step("check nowhere.toml"), tmp_path)
    with pytest.raises(UnsoundError, match="is not in what it says"):
        run(Step("--help", says="quinces"), tmp_path)
    run(Step("--help", says="Usage"), tmp_path)


def test_every_output_of_every_step_is_looked_into():
    for step in STEPS:
        for output in step.outputs:
            assert f".{output.rpartition('.')[2]}" in CHECKS
