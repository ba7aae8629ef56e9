"""Loops of the eye's view."""

from __future__ import annotations

import av
import numpy as np

from glint.lighting.illumination import light
from glint.render.eye.frames import EyeFilm
from glint.render.loop import loop
from glint.scene.build import build
from glint.schema.read import scene_of

SPIKED = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def evening():
    ball = {"shape": SPIKED, "hang": {"height_m": 1.8}, "motion": {"rpm": 6.0}}
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": [ball]}))


def test_a_loop_of_the_eyes_view_is_written_whole(tmp_path):
    path = tmp_path / "evening.mp4"
    # Five-fold symmetry at 6 turns a minute: 2 s.
    assert loop(evening(), path, "eye", fps=5, size=72).frames == 10
    with av.open(str(path)) as film:
        frames = [frame.to_ndarray(format="rgb24") for frame in film.decode(video=0)]
    assert len(frames) == 10 and frames[0].shape == (72, 128, 3)
    assert np.std(frames[0]) > 2.0
    assert not np.array_equal(frames[0], frames[5])


def test_a_film_of_one_instant_is_the_still_view():
    scene = evening()
    film = EyeFilm(scene, (128, 72))
    film.luminance([scene.at(degrees=50.0)])
    pose = scene.at(degrees=4.0)
    seen = film.luminance([pose])
    fresh = EyeFilm(scene, (128, 72))
    fresh.view._glow = film.view._glow
    fresh.view.room = film.view.room
    fresh.view.backdrop = film.view.backdrop
    expected = fresh.view.frame(pose, light(pose, film.view.texels))
    assert np.allclose(seen, expected, rtol=1e-3, atol=1e-4 * expected.max())


def test_only_what_changes_is_drawn_and_nothing_is_forgotten():
    scene = evening()
    film = EyeFilm(scene, (128, 72))
    before = film.luminance([scene.at(degrees=3.0)]).copy()
    assert film.changed.all()
    shares = []
    for degrees in (4.0, 9.0, 10.0):
        poses = [scene.at(degrees=degrees), scene.at(degrees=degrees + 0.5)]
        seen = film.luminance(poses)
        differs = np.any(seen != before, axis=2)
        outside = ~np.kron(film.changed, np.ones((8, 8), bool))[:72, :128]
        assert differs.any() and not differs[outside].any()
        shares.append(film.changed.mean())
        fresh = EyeFilm(scene, (128, 72))
        fresh.view._glow, fresh.view.room = film.view._glow, film.view.room
        fresh.view.backdrop = film.view.backdrop
        assert np.allclose(seen, fresh.luminance(poses), rtol=1e-4, atol=1e-5 * seen.max())
        before = seen.copy()
    assert min(shares) < 0.9


def test_what_is_seen_after_a_period_is_what_was_seen():
    scene = evening()
    film = EyeFilm(scene, (128, 72))
    first = film.luminance([scene.at(seconds=0.3)])
    again = film.luminance([scene.at(seconds=2.3)])
    other = film.luminance([scene.at(seconds=1.1)])
    bright = np.percentile(first, 99.5)
    assert np.abs(first - again).mean() < 0.01 * np.abs(first - other).mean() + 1e-4 * bright
