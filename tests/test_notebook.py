"""An evening as somebody makes it in a notebook: built, edited, measured, drawn and written."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

import glint
from glint.errors import GlintError


@pytest.fixture(scope="module")
def evening() -> glint.Scene:
    return glint.Scene(
        title="Pear <Night>",
        room=glint.Bell(radius_m=3.0, rise_m=2.4),
        balls=(
            glint.Ball(
                name=name,
                shape=glint.Shape(base="icosahedron", steps=[glint.Open(sides=3, count=1)]),
                tile=glint.Tile(edge_mm=40.0, panel_edge_mm=60.0, seam_mm=2.0),
                hang=glint.Hang(height_m=np.float32(1.5), at_m=np.array([x, 0.8])),
                motion=glint.Motion(rpm=2),
            )
            for name, x in (("pear", -0.5), ("plum", 0.5))
        ),
        lamps=[glint.Lamp(at_m=(2.0, 0.0, 1.2), aim="pear", beam_deg=8.0)],
        strings=[glint.LedString(ball="plum", leds=4)],
        eye=glint.Eye(at_m=(0.0, -2.0, 1.2)),
        optics=glint.Optics(bounces=2),
    )


def test_arrays_tables_and_pictures(evening):
    pose = evening.at(degrees=20.0)
    maps = glint.light(pose, texels=64)
    assert set(maps) == {"roof", "wall", "floor"}
    assert maps["roof"].lux.max() > 0.0
    assert glint.draw(pose, view="floor", size=64).shape == (64, 64, 3)
    lower = evening.with_({"ball[pear].hang.height_m": 1.3, "lamp[0].beam_deg": 12.0})
    assert lower.balls[0].centre[2] == 1.3
    assert evening.balls[0].centre[2] == 1.5
    assert not np.array_equal(
        glint.draw(lower.at(degrees=20.0), size=64), glint.draw(pose, size=64)
    )


def test_spots_beams_and_measures_as_columns(evening):
    pose = evening.at(degrees=20.0)
    spots = glint.spots(pose)
    columns = glint.table(spots)
    assert {len(column) for column in columns.values()} == {len(spots)}
    assert columns["lumens"].tolist() == [spot.lumens for spot in spots]
    assert columns["tiles"][0] == " ".join(map(str, spots[0].tiles))
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows(zip(*columns.values(), strict=True))
    assert len(text.getvalue().splitlines()) == len(spots) + 1

    beams = glint.beams(pose)
    columns = glint.table(beams)
    assert all(column.shape == (len(beams[0].lamp),) for column in columns.values())
    assert np.array_equal(columns["apex_y"], beams[0].apex[:, 1])
    assert np.array_equal(columns["frame_2_x"], beams[0].frame[:, 2, 0])
    assert np.array_equal(columns["chain_1"], beams[0].chain[:, 1])
    least = int(beams[0].sides.min())
    assert np.isfinite(columns[f"window_{least - 1}_z"]).all()
    assert np.isnan(columns[f"window_{least}_z"][beams[0].sides == least]).all()
    assert glint.table([]).keys() == spots[0]._asdict().keys()


def test_measures_as_columns(evening):
    still = evening.with_({"string": None, "ball": [evening.source.ball[0]]})
    found = glint.measure(still, tolerance=0.2)
    columns = glint.table(found)
    row = columns["figure"].tolist().index("visible spots")
    assert columns["mean"][row] == found.figures["spots"].mean
    assert len({len(column) for column in columns.values()}) == 1


@pytest.mark.parametrize("wrong", [None, 3, "spots", [1, 2], {"a": 1}, np.zeros(3)])
def test_what_makes_no_table_is_told(wrong):
    with pytest.raises(GlintError, match=r"table: found .*; allowed: what glint\.spots"):
        glint.table(wrong)


def test_it_shows_itself(evening):
    pose = evening.at(degrees=0.0)
    for thing in (evening, pose):
        assert len(repr(thing)) < 200 and "\n" not in repr(thing)
        png = thing._repr_png_()
        assert png.startswith(b"\x89PNG\r\n\x1a\n")
        assert "<Night>" not in thing._repr_html_()
        assert "Pear" in thing._repr_html_()
    assert "plum" in evening._repr_html_() and "LEDs" in evening._repr_html_()
    assert "data:image/png;base64," in pose._repr_html_()
    crowd = evening.with_({"title": "x" * 120})
    assert len(repr(crowd)) < 200 and len(repr(crowd.at(seconds=0.1))) < 200


def test_a_body_from_its_corners_is_the_catalogue_s(evening):
    corners = np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * 0.03
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    cube = glint.Shape.from_vertices(corners, faces, tiles="cut")
    scene = evening.with_({"ball": [glint.Ball(shape=cube)], "string": None, "lamp[0].aim": None})
    body = scene.balls[0].body
    assert len(body.panel_sides) == 6 and len(body.tile_sides) == 6
    assert body.radius == pytest.approx(0.03 * np.sqrt(3.0))
    assert len(glint.beams(scene.at(degrees=3.0))[0].lamp) > 0
    again = glint.Scene.of(glint.schema.read.scene_of(glint.schema.read.parse(
        scene.to_toml().encode(), "x"), "x.toml"))  # fmt: skip
    assert again.still_polygons.corners.tobytes() == scene.still_polygons.corners.tobytes()


FACES = {
    "open": ([(0, 1, 2), (0, 2, 3), (0, 3, 1), (1, 2, 3)], "turn different ways"),
    "missing": (
        [(0, 2, 1), (0, 3, 2), (0, 1, 3), (0, 2, 1)],
        "shared by more than two|one triangle",
    ),
    "outside": ([(0, 2, 1), (0, 3, 2), (0, 1, 3), (1, 2, 9)], "the corner 9 in face 3"),
    "bent": ([(0, 2, 1), (0, 3, 2), (0, 1, 3), (1, 2, 4, 3)], "the face 3, which is not flat"),
    "hollow": ([(0, 2, 1), (0, 3, 2), (0, 1, 3), (1, 2, 5, 3)], "the face 3, which is not convex"),
}


@pytest.mark.parametrize("name", FACES)
def test_faces_that_make_no_body_are_told(evening, name):
    faces, told = FACES[name]
    corners = [(0, 0, 1), (1, 0, 0), (0, 1, 0), (-1, -1, 0), (0, 0, -0.5), (0.1, -0.05, 0)]
    shape = glint.Shape.from_vertices(corners, faces)
    with pytest.raises(GlintError, match=rf"\[\[ball\]\] 1 shape.faces: found .*{told}"):
        evening.with_({"ball[0].shape": shape, "ball[0].hang.height_m": None})


WRONG = {
    "key": (lambda: glint.Hang(heigth_m=2.0), 'Hang: heigth_m: found an unknown key.*"height_m"'),
    "value": (lambda: glint.Lamp(beam_deg="wide"), 'Lamp: beam_deg: found "wide".*0.1 to 160'),
    "deep": (
        lambda: glint.Shape(base="cube", steps=[{"do": "rise", "sides": 4}]),
        r'Shape: steps\[0\].do: found "rise".*did you mean "raise"',
    ),
    "missing": (lambda: glint.Ball(), "Ball: shape: found nothing; allowed: the name of a shape"),
    "place": (lambda: glint.Tile(25), "Tile: found 25; allowed: keys by name"),
    "room": (lambda: glint.Dome(kind="hall"), 'Dome: kind: found "hall"; allowed: "dome"'),
    "table": (lambda: glint.Ball(shape=3), "Ball: shape: found 3; allowed: the name of a shape"),
    "many": (lambda: glint.Scene(room=3, balls=4), "(?s)scene: .*room.*ball"),
    "rules": (
        lambda: glint.Scene(
            room=glint.Dome(radius_m=4.0), balls=[glint.Ball(shape=glint.Shape(base="rings"))]
        ),
        r"scene: \[\[ball\]\] 1 shape.diameter_m: found nothing.*base \"rings\" needs it",
    ),
    "more": (
        lambda: glint.Scene(room=glint.Dome(radius_m=4.0), balls=[], optic={}),
        'scene: optic: found an unknown key.*did you mean "optics"',
    ),
    "folder": (
        lambda: glint.Scene(room=glint.Dome(radius_m=4.0), balls=[], folder=3),
        "folder: found 3",
    ),
    "load": (lambda: glint.load({"room": {}}), "path: found a table; .*glint.Scene"),
    "no file": (lambda: glint.load("quince.toml"), "no such file"),
    "pose": (lambda: glint.light("here"), 'pose: found "here"; allowed: a pose'),
    "draw": (lambda: glint.draw(None), "pose: found nothing; allowed: a pose"),
    "measure": (lambda: glint.measure(3), "scene: found 3; allowed: a scene"),
    "compare": (lambda: glint.compare([3]), "scenes: found 3; allowed: scenes"),
    "search": (lambda: glint.place("x"), 'scene: found "x"; allowed: a scene'),
    "audit": (lambda: glint.audit(1), "pose: found 1"),
    "export": (lambda: glint.export(1, "x.glb"), "pose: found 1"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_errors_are_as_kind_as_those_of_the_commands(name):
    call, told = WRONG[name]
    with pytest.raises(GlintError, match=told):
        call()


OF_A_POSE = {
    "view": (lambda pose: glint.draw(pose, view="top"), 'view: found "top"; allowed: "dome", "fl'),
    "near": (lambda pose: glint.draw(pose, view="Floor"), 'did you mean "floor"'),
    "size": (lambda pose: glint.draw(pose, size="large"), 'size: found "large".*"square"'),
    "pixels": (lambda pose: glint.draw(pose, size=0), "size: found 0; allowed: a whole number"),
    "sides": (lambda pose: glint.draw(pose, size=(1, 2, 3)), "size: found .1, 2, 3."),
    "ev": (lambda pose: glint.draw(pose, ev="bright"), 'ev: found "bright"; allowed: a number'),
    "texels": (lambda pose: glint.light(pose, texels=0.5), "texels: found 0.5"),
    "seen": (lambda pose: glint.light(pose, seen="dome"), 'seen: found "dome"; allowed: "roof"'),
    "surface": (lambda pose: glint.light(pose, texels=16)["dome"], 'surface: found "dome".*"roof"'),
    "number": (lambda pose: glint.light(pose, texels=16)[3], "surface: found 3"),
    "neither": (lambda pose: pose.scene.at(), "at: found neither; allowed: either"),
    "both": (lambda pose: pose.scene.at(degrees=1, seconds=2), "at: found both"),
    "angle": (lambda pose: pose.scene.at(degrees="ten"), 'at: found degrees = "ten"'),
    "endless": (lambda pose: pose.scene.at(seconds=float("nan")), "at: found seconds = nan"),
    "loop": (lambda pose: glint.loop(pose, "x.mp4"), "scene: found .*; allowed: a scene"),
    "film": (lambda pose: glint.loop(pose.scene, "x.mp4", view="up"), 'view: found "up"'),
    "film size": (lambda pose: glint.loop(pose.scene, "x.mp4", size="up"), 'size: found "up"'),
    "shutter": (lambda pose: glint.loop(pose.scene, "x.mp4", shutter=-1), "shutter: found -1"),
    "fps": (lambda pose: glint.loop(pose.scene, "x.mp4", fps="fast"), 'fps: found "fast"'),
    "parts": (lambda pose: glint.export(pose, "x.glb", parts=["mirror"]), 'parts: found "mirror"'),
}


@pytest.mark.parametrize("name", OF_A_POSE)
def test_errors_of_a_pose_are_kind_too(evening, name):
    call, told = OF_A_POSE[name]
    with pytest.raises(GlintError, match=told):
        call(evening.at(degrees=5.0))


def test_a_missing_surface_is_a_key_error_as_of_any_mapping(evening):
    maps = glint.light(evening.at(degrees=5.0), texels=16)
    with pytest.raises(KeyError):
        _ = maps["dome"]
    assert maps.get("dome") is None and "dome" not in maps


def test_a_loop_takes_a_size_by_its_name(evening, tmp_path, monkeypatch):
    from glint.render import views

    monkeypatch.setitem(views.SIZES, "upright", (36, 64))
    found = glint.loop(evening, tmp_path / "pear.gif", size="upright", fps=1, shutter=0.0)
    assert found.size == (36, 64)


def test_rooms_are_there_by_their_kind():
    assert glint.Hall(length_m=5.0, width_m=4.0, height_m=3.0).kind == "hall"
    with pytest.raises(AttributeError, match="Yurtt"):
        _ = glint.Yurtt
