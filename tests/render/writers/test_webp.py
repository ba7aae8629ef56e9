"""An animated WebP read back: its frames, how long they are shown, and what it says of itself."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from fractions import Fraction
from itertools import accumulate

import numpy as np
import pytest
from PIL import Image, ImageSequence

from glint.errors import GlintError
from glint.render.writers.movie import write_movie

COUNT = 29


def spot(number):
    """A bright spot that moves from frame to frame over a smooth ground."""
    x, y = np.meshgrid(np.arange(64), np.arange(48))
    bright = np.exp(-((x - 2 * number) ** 2 + (y - 24) ** 2) / 40.0)
    return np.stack([200 * bright + x, 180 * bright + y, 90 + 60 * bright], axis=2).astype(np.uint8)


@pytest.mark.parametrize("rate", [Fraction(30), Fraction(24), Fraction(24000, 1001)])
def test_frames_come_back_when_they_are_due_and_look_the_same(tmp_path, rate):
    path = tmp_path / "a.webp"
    write_movie(path, (spot(number) for number in range(COUNT)), COUNT, rate)
    with Image.open(path) as movie:
        assert (movie.n_frames, movie.size, movie.info["loop"]) == (COUNT, (64, 48), 0)
        shown, durations = [], []
        for frame in ImageSequence.Iterator(movie):
            shown.append(np.asarray(frame.convert("RGB")).astype(float))
            durations.append(frame.info["duration"])
    ends = list(accumulate(durations))
    assert ends == [round(1000 * number / rate) for number in range(1, COUNT + 1)]
    for number, frame in enumerate(shown):
        assert np.abs(frame - spot(number)).mean() < 3.0


def test_no_more_frames_are_held_than_the_one_at_hand(tmp_path):
    picture = spot(0)

    def overwritten():
        for number in range(COUNT):
            picture[:] = spot(number)
            yield picture
            picture[:] = 255  # as soon as the next one is asked for

    write_movie(tmp_path / "a.webp", overwritten(), COUNT, 30)
    with Image.open(tmp_path / "a.webp") as movie:
        for number, frame in enumerate(ImageSequence.Iterator(movie)):
            assert np.abs(np.asarray(frame.convert("RGB")).astype(float) - spot(number)).mean() < 3


def test_title_and_program_have_their_fields_and_stay_text(tmp_path):
    entries = {"title": "Quince <Night> & more", "software": "glint", "filmed": "view dome"}
    path = tmp_path / "a.webp"
    write_movie(path, (spot(number) for number in range(2)), 2, 30, entries)
    with Image.open(path) as movie:
        root = ET.fromstring(movie.info["xmp"])
    about = {part.tag.split("}")[1]: "".join(part.itertext()) for part in root[0][0]}
    assert about["title"] == "Quince <Night> & more"
    assert about["CreatorTool"] == "glint"
    assert "filmed: view dome" in about["description"]


@pytest.mark.parametrize("given", [2, 4])
def test_too_few_frames_and_too_many_are_told(tmp_path, given):
    with pytest.raises(GlintError, match=f"{given} frames in place of 3"):
        write_movie(tmp_path / "a.webp", (spot(number) for number in range(given)), 3, 30)
