"""Every command on a demo scene and on a scene made here, its output read back."""

from __future__ import annotations

import json
import zipfile

import numpy as np
import pytest
import trimesh
from PIL import Image

from glint.scene.build import load
from tests.cli.command import DEMO, MADE, names, printed
from tests.movies import read_back


@pytest.fixture(params=["demo", "made"])
def scene(request, tmp_path):
    if request.param == "demo":
        return DEMO
    path = tmp_path / "quince.toml"
    path.write_text(MADE)
    return path


@pytest.fixture
def folder(tmp_path):
    found = tmp_path / "out"
    found.mkdir()
    return found


def test_check(scene, folder):
    found = json.loads(printed("check", scene, "--json", cwd=folder))
    text = printed("check", scene, cwd=folder)
    assert text.splitlines()[0] == found["title"]
    assert all(ball["name"] in text for ball in found["balls"])
    crowded = [ball for ball in found["balls"] if not ball["can_be_glued"]]
    assert len(found["warnings"]) == len(crowded) == text.count("warning: ")


def test_spots(scene, folder):
    found = json.loads(printed("spots", scene, "--at", 20, "--json", cwd=folder))
    table, fates = printed("spots", scene, "--at", 20, cwd=folder).split("\n\n")
    rows = [line.split("\t") for line in table.splitlines()]
    assert rows[0] == [key for key in found["spots"][0] if key != "balls"]
    assert len(rows) == len(found["spots"]) + 1
    column = rows[0].index("peak_lux")
    peaks = [float(row[column]) for row in rows[1:]]
    assert peaks == pytest.approx([spot["peak_lux"] for spot in found["spots"]], rel=1e-5)
    closed = [line.split("\t") for line in fates.splitlines() if "\tclosed" in line]
    for lamp, row in zip(found["audit"], closed, strict=True):
        assert row[0] == lamp["lamp"]
        assert float(row[3]) == pytest.approx(100.0, abs=0.1)
        parts = [lamp[key] for key in ("absorbed_lm", "caught_lm", "cut_off_lm")]
        parts += [*lamp["landed_lm"].values(), *lamp["spill_lm"].values()]
        assert sum(parts) == pytest.approx(lamp["lumens"] * lamp["closed_percent"] / 100.0)


def test_still(scene, folder):
    said = printed("still", scene, "--size", "160x100", "-o", "a.png", cwd=folder)
    assert said == "wrote a.png\n"
    assert names(folder) == ["a.png"]
    with Image.open(folder / "a.png") as picture:
        assert picture.size == (160, 100)
        pixels = np.asarray(picture.convert("RGB"))
        assert "glint" in picture.info["Software"]
    lit = np.argwhere(pixels.max(axis=2) > 0)
    # The dome is round: as high as it is wide, in the middle of the picture.
    assert np.ptp(lit, axis=0).tolist() == [93, 93]
    assert lit.mean(axis=0) == pytest.approx([49.5, 79.5], abs=1.5)


@pytest.mark.parametrize(("view", "size"), [("floor", (90, 90)), ("eye", (160, 90))])
def test_one_number_is_the_height(scene, folder, view, size):
    printed("still", scene, "--view", view, "--size", 90, "-o", "a.png", cwd=folder)
    with Image.open(folder / "a.png") as picture:
        assert picture.size == size


@pytest.mark.parametrize("view", ["dome", "eye"])
def test_more_stops_are_brighter(view, folder):
    means = []
    for stops in (-1, 0, 1):
        name = f"{stops}.png"
        printed("still", DEMO, "--view", view, "--size", 64, "--ev", stops, "-o", name, cwd=folder)
        with Image.open(folder / name) as picture:
            means.append(np.asarray(picture.convert("RGB")).mean())
    assert means[0] < 0.8 * means[1] and means[1] < 0.8 * means[2]


def test_a_name_for_the_picture_is_found(scene, folder):
    printed("still", scene, "--view", "floor", "--size", 64, cwd=folder)
    assert names(folder) == [f"{scene.stem}-floor.png"]


def test_still_of_a_turn(scene, folder):
    printed("still", scene, "--turn", "--size", 64, "-o", "a.png", cwd=folder)
    printed("still", scene, "--size", 64, "-o", "b.png", cwd=folder)
    with Image.open(folder / "a.png") as turn, Image.open(folder / "b.png") as instant:
        assert turn.size == instant.size == (64, 64)
        assert turn.tobytes() != instant.tobytes()


def test_arrays_of_a_still_hold_all_the_light_that_the_audit_finds(scene, folder):
    # Where a surface ends, spots are cut along whole texels: coarse ones are off by more.
    printed("still", scene, "--size", 512, "-o", "a.png", "--data", "a.npz", cwd=folder)
    assert names(folder) == ["a.npz", "a.png"]
    audit = json.loads(printed("spots", scene, "--json", cwd=folder))["audit"]
    with np.load(folder / "a.npz") as found:
        surfaces = {key.removesuffix("_lux") for key in found if key.endswith("_lux")}
        assert surfaces == set(audit[0]["landed_lm"])
        for name in surfaces:
            lux, point, area = (found[f"{name}_{part}"] for part in ("lux", "point", "area"))
            assert lux.shape == point.shape == (*area.shape, 3)
            inside = area > 0
            assert not lux[~inside].any() and not point[~inside].any()
            direct = (lux - found[f"{name}_ambient"]) * area[..., None]
            # Luminance from linear RGB: IEC 61966-2-1.
            lumens = direct.sum(axis=(0, 1), dtype=float) @ [0.2126, 0.7152, 0.0722]
            wanted = sum(lamp["landed_lm"][name] + lamp["spill_lm"][name] for lamp in audit)
            assert lumens == pytest.approx(wanted, rel=5e-3)
        floor = found["floor_point"][found["floor_area"] > 0]
        assert not floor[:, 2].any()
        radius = np.hypot(floor[:, 0], floor[:, 1]).max()
        assert found["floor_area"].sum() == pytest.approx(np.pi * radius**2, rel=0.01)


def test_arrays_are_the_same_every_time(scene, folder):
    for name in ("a", "b"):
        printed(
            "still", scene, "--size", 64, "-o", f"{name}.png", "--data", f"{name}.npz", cwd=folder
        )
    for ending in ("png", "npz"):
        first, second = ((folder / f"{name}.{ending}").read_bytes() for name in ("a", "b"))
        assert first == second
    assert zipfile.is_zipfile(folder / "a.npz")


def test_loop(scene, folder):
    said = printed("loop", scene, "--size", 64, "--fps", 5, "-o", "a.mp4", cwd=folder)
    frames = read_back(folder / "a.mp4")
    assert frames.shape[1:] == (64, 64, 3)
    assert said == f"wrote a.mp4: {len(frames)} frames\n"
    assert names(folder) == ["a.mp4"]


def test_export(scene, folder):
    printed("export", scene, "--at", 10, "-o", "a.glb", cwd=folder)
    found = trimesh.load(folder / "a.glb")
    assert set(found.graph.nodes_geometry) == {"mirrors", "panels", "room"}
    assert found.geometry["room"].is_watertight
    tiles = sum(
        ball["tiles"] for ball in json.loads(printed("check", scene, "--json", cwd=folder))["balls"]
    )
    assert len(found.geometry["mirrors"].faces) == tiles  # triangles, in both scenes
    posed = load(scene).at(degrees=10).polygons
    wanted = posed.corners[posed.mirror][:, :3].reshape(-1, 3)
    assert found.geometry["mirrors"].vertices == pytest.approx(wanted, abs=1e-6)  # single precision
    assert names(folder) == ["a.glb"]


def test_shapes(folder):
    small, large = (
        json.loads(printed("shapes", "--panel", mm, "--tile", 8, "--json", cwd=folder))
        for mm in (10, 40)
    )
    assert small["panel_edge_mm"] == 10
    for one, other in zip(small["shapes"], large["shapes"], strict=True):
        assert other["diameter_m"] == pytest.approx(4 * one["diameter_m"])
        assert one["buildable"] == (not one["needs"]) == (not one["remedy"])
    cube = next(shape for shape in large["shapes"] if shape["name"] == "cube")
    assert (cube["triangles"], cube["squares"]) == (0, 6)
    assert cube["diameter_m"] == pytest.approx(0.04 * 3**0.5)
    assert cube["symmetry"] == {"vertex": 3, "face": 4, "edge": 2}
    # The twenty-four valleys of the first level's eight pyramids, in each of which two tips meet.
    spiked = next(
        s for s in large["shapes"] if s["name"] == "octahedron, triangles spiked 2 levels deep"
    )
    assert spiked["remarks"] == "24 pairs of tips touch"
    table = printed("shapes", cwd=folder).splitlines()
    assert any(line.startswith(spiked["name"]) and spiked["remarks"] in line for line in table)
    assert len(table) == len(large["shapes"]) + 1
    assert len({line.count("\t") for line in table}) == 1
    prism = next(s for s in large["shapes"] if s["name"] == "pentagonal prism, pentagons raised")
    steps = 'steps = [{ do = "raise", sides = 5 }]'
    assert prism["line"] == f'shape = {{ base = "prism", sides = 5, {steps} }}'
    assert any(line.endswith(prism["line"]) for line in table)
    left = next(line for line in table if line.startswith("dodecahedron\t"))
    assert 'add { do = "raise", sides = 5 }' in left


@pytest.mark.parametrize(("words", "number"), [([], 3), (["--alternatives", 0], 1)])
def test_stock_tells_the_best_set_and_as_many_others_as_wanted(words, number, folder):
    found = json.loads(printed("stock", "--triangles", 40, *words, "--json", cwd=folder))
    assert len(found["sets"]) == number


SWINGING = MADE.replace("rpm = 20.0", "rpm = 20.0, swing_deg = 6.0")


def test_a_loop_that_cannot_close_says_so_and_fits(folder, tmp_path):
    path = tmp_path / "swing.toml"
    path.write_text(SWINGING)
    swing = json.loads(printed("check", path, "--json", cwd=folder))["balls"][0]["swing_s"]
    assert f"swings there and back in {swing:.3f} s" in printed("check", path, cwd=folder)
    options = ("--size", "96x160", "--fps", 5, "--longest", 6, "--max-mb", 1, "--poster")
    said = printed("loop", path, *options, "-o", "a.mp4", cwd=folder).splitlines()
    frames = read_back(folder / "a.mp4")
    assert frames.shape[1:] == (160, 96, 3)
    assert said[0] == f"wrote a.mp4: {len(frames)} frames, and a-poster.png"
    assert said[1].startswith(f"swings of {swing:.3g} s have no common period with all the rest")
    assert said[2].endswith("of at most 1, nothing had to be lowered")
    assert names(folder) == ["a-poster.png", "a.mp4"]


def test_a_still_of_a_moment(folder, tmp_path):
    path = tmp_path / "swing.toml"
    path.write_text(SWINGING)
    for name, seconds in (("a", 0.0), ("b", 0.4)):
        printed("still", path, "--seconds", seconds, "--size", 64, "-o", f"{name}.png", cwd=folder)
    printed("still", path, "--at", 0.4 * 120.0, "--size", 64, "-o", "c.png", cwd=folder)
    first, later, turned = ((folder / f"{name}.png").read_bytes() for name in "abc")
    assert first != later == turned
