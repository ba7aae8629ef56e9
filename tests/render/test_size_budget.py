"""Loops within a number of megabytes, and what their files say about themselves."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

import glint
from glint.errors import UsageError
from glint.render.loop import loop
from glint.render.movies import ENDINGS
from glint.render.size_budget import MEGABYTE, settings
from glint.render.writers.provenance import scene_hash
from glint.scene.build import build
from glint.schema.read import scene_of
from tests.movies import rate_of, read_back

RINGS = {"base": "rings", "diameter_m": 0.3}
ROUND = {"base": "icosahedron", "steps": [{"do": "raise", "sides": 3}]}


def evening(shape=ROUND, rpm=12.0, **more):
    ball = {"shape": shape, "hang": {"height_m": 1.8}, "motion": {"rpm": rpm}}
    return build(scene_of({"room": {"radius_m": 3.0}, "ball": [ball], **more}))


@pytest.fixture(scope="module")
def scene():
    return evening()


def test_quality_is_lowered_first_and_then_the_size():
    steps = settings((720, 1280), ".mp4")
    assert steps[0] == ((720, 1280), 18)
    qualities = [step.quality for step in steps]
    assert qualities == sorted(qualities)
    sizes = [step.size[0] for step in steps]
    assert sizes == sorted(sizes, reverse=True) and len(set(sizes)) > 3
    for width, height in {step.size for step in steps}:
        assert width % 2 == height % 2 == 0 and width >= 240
        assert width / height == pytest.approx(720 / 1280, rel=0.01)
    lowered = [step for step in steps if step.size != (720, 1280)]
    assert {step.quality for step in lowered} == {34}
    # A picture that is small already stays so.
    assert {step.size for step in settings((100, 64), ".gif")} == {(100, 64)}


@pytest.mark.parametrize(
    "ending, share", [(".mp4", 0.6), (".mp4", 0.28), (".gif", 0.7), (".webp", 0.6), (".png", 0.4)]
)
def test_a_loop_never_exceeds_what_is_allowed(scene, tmp_path, ending, share):
    free, tight = tmp_path / f"free{ending}", tmp_path / f"tight{ending}"
    whole = loop(scene, free, fps=10, size=320)
    most = share * whole.length / MEGABYTE
    found = loop(scene, tight, fps=10, size=320, max_mb=most)
    assert tight.stat().st_size == found.length <= most * MEGABYTE
    assert found.length > 0.3 * most * MEGABYTE
    assert found.frames == whole.frames == 10
    assert len(found.notes) == 1 and "lowered to" in found.notes[0]
    width, height = found.size
    assert f"{width}x{height}" in found.notes[0]
    frames = read_back(tight).astype(float)
    assert frames.shape == (10, height, width, 3)
    if ending == ".mp4":
        assert rate_of(tight) == pytest.approx(10)
        return
    with Image.open(tight) as movie:
        assert movie.info["loop"] == 0
    steps = [np.abs(a - b).mean() for a, b in pairwise(frames)]
    join = np.abs(frames[-1] - frames[0]).mean()
    assert 0.2 * np.median(steps) < join < 3.0 * np.median(steps)


def test_what_fits_already_is_left_as_it_is(scene, tmp_path):
    loop(scene, tmp_path / "a.mp4", fps=10, size=128)
    found = loop(scene, tmp_path / "b.mp4", fps=10, size=128, max_mb=5.0)
    assert (tmp_path / "a.mp4").read_bytes() == (tmp_path / "b.mp4").read_bytes()
    assert "nothing had to be lowered" in found.notes[0]


def test_what_cannot_be_reached_is_refused_and_nothing_is_left(scene, tmp_path):
    with pytest.raises(UsageError, match=r"a\.mp4: found 0\.\d+ MB at the least .* 34; allowed"):
        loop(scene, tmp_path / "a.mp4", fps=10, size=96, max_mb=1e-4, poster=tmp_path / "p.png")
    assert not list(tmp_path.iterdir())


def _texts(path):
    """What other readers find: ffmpeg's, or Pillow's."""
    if path.suffix == ".mp4":
        import av

        with av.open(str(path)) as movie:
            return " ".join(movie.metadata.values())
    with Image.open(path) as movie:
        found = [value for value in movie.info.values() if isinstance(value, (str, bytes))]
        found += [movie.info.get("xmp", b"")]
        return " ".join(v.decode("utf-8", "ignore") if isinstance(v, bytes) else v for v in found)


@pytest.mark.parametrize("ending", ENDINGS)
def test_every_format_says_what_it_shows_and_what_made_it(tmp_path, ending):
    titled = evening(title="Quince Night: in a test")
    path = tmp_path / f"a{ending}"
    loop(titled, path, fps=5, size=64, poster=tmp_path / "p.png")
    for file in (path, tmp_path / "p.png"):
        found = _texts(file)
        assert "Quince Night: in a test" in found
        assert f"glint {glint.__version__}" in found
        assert scene_hash(titled.source) in found
        assert "view dome, 64x64, 5 frames in 1 s, shutter 180 deg" in found


def test_the_hash_is_that_of_what_decides_the_picture(tmp_path):
    plain = evening().source
    assert scene_hash(plain) == scene_hash(evening(title="another").source)
    assert scene_hash(plain) == scene_hash(evening(goal={"spots": 2.0}).source)
    assert scene_hash(plain) != scene_hash(evening(rpm=12.5).source)
    assert scene_hash(plain) != scene_hash(evening(eye={"fov_deg": 60.0}).source)
    # A default that is written out decides the same picture.
    assert scene_hash(plain) == scene_hash(evening(optics={"bounces": 4}).source)


def test_the_hash_follows_the_files_that_a_scene_names(tmp_path):
    import trimesh

    def hashed(size):
        trimesh.creation.box((size, size, size)).export(tmp_path / "pear.stl")
        ball = {"shape": {"mesh": "pear.stl"}, "hang": {"height_m": 1.8}}
        tables = {"room": {"radius_m": 3.0}, "ball": [ball]}
        return scene_hash(scene_of(tables, tmp_path / "scene.toml"))

    assert hashed(100.0) == hashed(100.0) != hashed(120.0)
