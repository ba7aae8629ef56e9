"""Loops whose join is faded, round maps on other canvases, and what stays still in a GIF."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import av
import numpy as np
import pytest
from PIL import Image, ImageSequence

from glint.errors import UsageError
from glint.lighting.illumination import light
from glint.render.frames import Film
from glint.render.loop import loop
from glint.scene.build import build
from glint.scene.period import Cycle, cycle
from glint.schema.read import scene_of
from tests.movies import read_back

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def swinging(**motion):
    ball = {"shape": SPIKED, "hang": {"height_m": 1.8}}
    ball["motion"] = motion or {"rpm": 6.0, "swing_deg": 8.0, "swing_towards_deg": 60.0}
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": [ball]}))


def film_of(view="dome", size=(96, 96), fps=10):
    scene = swinging()
    found = cycle(scene, 8)
    assert found.fade > 0
    return Film(scene, view, size, found, round(found.seconds * fps), 180.0, 0.0)


def test_the_first_frame_is_what_comes_after_the_last():
    film = film_of()
    after_the_last = film._moments(film.count, 0.05)
    assert film.exposures(0, 0.05) == [(1.0, after_the_last)]
    assert film.exposures(film.faded, 0.05) == [(1.0, film._moments(film.faded, 0.05))]
    shares = [[share for share, _ in film.exposures(n, 0.05)] for n in range(film.faded + 1)]
    assert [sum(row) for row in shares] == pytest.approx([1.0] * len(shares))
    ending = [row[0] for row in shares[1:-1]]
    assert ending == sorted(ending, reverse=True) and 0.0 < ending[-1] < ending[0] < 1.0


@pytest.mark.parametrize("shutter", [90.0, 360.0])
def test_instants_share_out_the_time_that_the_shutter_is_open(shutter):
    film = film_of()._replace(shutter=shutter)
    opened, open_for = 3 * film.step, film.step * Fraction(shutter / 360.0)
    moments = film._moments(3, 0.001)
    part = open_for / len(moments)
    assert len(moments) > 2
    assert moments == [opened + (k + Fraction(1, 2)) * part for k in range(len(moments))]


def test_light_is_mixed_as_light_and_before_the_tone():
    film = film_of()
    number = film.faded // 2
    share = number / film.faded
    (before, late), (after, early) = film.exposures(number, 1e9)  # one instant each
    assert (before, after) == (1.0 - share, share)
    from glint.lighting.incremental import IncrementalLightMap
    from glint.render.map_frames import gathered

    scene = film.scene
    first = light(scene.at(seconds=0.0), 96)["dome"]
    running = IncrementalLightMap(scene, first.surface, 96, first.ambient)
    (mixed,) = gathered(scene, [running], [(before, late), (after, early)])
    one, two = (light(scene.poses(times)[0], 96)["dome"].lux for times in (late, early))
    wanted = before * one + after * two + first.ambient * first.inside[..., None]
    assert mixed == pytest.approx(wanted, rel=1e-3, abs=1e-3 * float(wanted.max()))


@pytest.mark.parametrize("view, size", [("dome", (96, 96)), ("eye", (96, 54))])
def test_a_faded_join_does_not_jump(view, size):
    # An end that fits badly: a quarter of a turn's repeat, and of a swing, are left over.
    rough = Cycle(Fraction(5, 2), Fraction(1), "")
    film = film_of(view, size)._replace(cycle=rough, count=500)
    ending = [frame.astype(float) for frame in film.frames(range(497, 500))]
    beginning = [frame.astype(float) for frame in film.frames(range(3))]
    steps = [np.abs(a - b).mean() for a, b in pairwise(ending + beginning)]
    assert 0.0 < steps[2] < 1.5 * np.median(steps)
    # Without the fade it does.
    plain = film._replace(cycle=rough._replace(fade=Fraction(0)))
    unfaded = next(plain.frames(range(1))).astype(float)
    assert np.abs(ending[-1] - unfaded).mean() > 3.0 * steps[2]


def test_some_frames_are_those_of_the_whole():
    film = film_of()
    whole = list(film.frames())
    first = film.faded - 2
    for a, b in zip(film.frames(range(first, first + 5)), whole[first:], strict=False):
        assert np.array_equal(a, b)


def test_what_is_done_about_the_join_is_said(tmp_path):
    found = loop(swinging(), tmp_path / "a.mp4", fps=5, size=64, longest=8)
    assert len(found.notes) == 1 and "faded" in found.notes[0]
    assert "no common period" in found.notes[0]
    assert loop(swinging(rpm=12.0), tmp_path / "b.mp4", fps=5, size=64).notes == ()


def test_a_round_map_stands_in_the_middle_of_other_forms(tmp_path):
    path = tmp_path / "a.mp4"
    found = loop(swinging(rpm=12.0), path, fps=10, size=(90, 160), poster=tmp_path / "a.png")
    assert (found.frames, found.size) == (10, (90, 160))
    frames = read_back(path)
    assert frames.shape == (10, 160, 90, 3)
    with Image.open(tmp_path / "a.png") as poster:
        pixels = np.asarray(poster.convert("RGB"))
    lit = np.argwhere(pixels.max(axis=2) > 0)
    assert np.ptp(lit, axis=0).tolist() == [83, 83]
    assert lit.mean(axis=0) == pytest.approx([79.5, 44.5], abs=1.5)
    # The poster is the first frame, before it was encoded.
    assert np.abs(frames[0].astype(float) - pixels).mean() < 2.0


def test_the_poster_of_a_faded_loop_is_a_frame_that_is_not(tmp_path):
    loop(swinging(), tmp_path / "a.mp4", fps=5, size=64, longest=8, poster=tmp_path / "p.png")
    film = film_of(size=(64, 64), fps=5)
    middle = list(film.frames(range(film.count // 2 + 1)))[-1]
    with Image.open(tmp_path / "p.png") as poster:
        assert np.array_equal(np.asarray(poster.convert("RGB")), middle)


def test_a_poster_is_not_written_over_the_loop(tmp_path):
    with pytest.raises(UsageError, match="another name"):
        loop(swinging(), tmp_path / "a.png", poster=tmp_path / "a.png")
    assert not list(tmp_path.iterdir())


def table_flags(data):
    """Whether there is a colour table: for the whole file, then for each image (GIF89a, sections 18
    and 20)."""
    flags, place = [bool(data[10] & 0x80)], 13 + 3 * 2 ** ((data[10] & 7) + 1)
    while data[place] != 0x3B:
        if data[place] == 0x2C:
            flags.append(bool(data[place + 9] & 0x80))
            place += 11
        else:
            place += 2
        while data[place]:
            place += data[place] + 1
        place += 1
    return flags


def test_a_gif_has_one_palette_and_what_stands_still_does_not_flicker(tmp_path):
    path = tmp_path / "a.gif"
    scene = swinging(rpm=12.0)
    loop(scene, path, fps=10, size=96)
    with Image.open(path) as movie:
        assert movie.info["loop"] == 0
        assert movie.info["duration"] == 100
        frames = [np.asarray(frame.convert("RGB")) for frame in ImageSequence.Iterator(movie)]
    flags = table_flags(path.read_bytes())
    assert flags[0] and len(flags) == 11 and not any(flags[1:])
    film = Film(scene, "dome", (96, 96), cycle(scene), 10, 180.0, 0.0)
    truth = np.array(list(film.frames()))
    still = (truth == truth[0]).all(axis=(0, 3))
    assert still.mean() > 0.3
    shown = np.array(frames)
    assert len(frames) == 10 and (shown[:, still] == shown[0][still]).all()
    with av.open(str(path)) as other:
        again = [frame.to_ndarray(format="rgb24") for frame in other.decode(video=0)]
    assert np.array_equal(np.array(again), shown)
