"""What pages are sent is the scene's own light and geometry."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

import glint
from glint.kernels.arrays import MOST_CORNERS
from glint.lighting.illumination import beams
from glint.lighting.prepared import lighting_of
from glint.lighting.shadows import silhouettes
from glint.lighting.strings.balance import audit_strings
from glint.live.packets.pose import MOST_CORNERS_SENT, pose_packet, pose_parts
from glint.live.packets.scene import scene_parts
from glint.live.packets.shapes import shapes_packet
from glint.live.pictures import Sight, exact, paint_packet
from glint.live.rest import Strings
from glint.live.wire import unpack
from glint.room.geodesic_frame import Frame
from glint.shape.catalogue import catalogue

PLAIN = {
    "room": {"radius_m": 3.0},
    "balls": [{"shape": {"base": "cuboctahedron"}, "hang": {"height_m": 1.8}}],
    "lamps": [{"at_m": [2.0, 0.0, 1.0]}, {"at_m": [-2.0, 0.5, 1.0], "colour": "#ff9a5c"}],
}
STRUNG = {
    "room": {"radius_m": 3.0},
    "balls": [{"shape": {"base": "octahedron"}, "tile": {"hole_mm": 8.0}}],
    "strings": [{"leds": 3, "twinkle_s": 4.0}],
}


def area_of(corners: np.ndarray) -> float:
    """Area of a flat polygon, (n, 3)."""
    fan = np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0])
    return 0.5 * float(np.linalg.norm(fan.sum(axis=0)))


@pytest.mark.parametrize("sides", [3, MOST_CORNERS_SENT, MOST_CORNERS_SENT + 1, MOST_CORNERS])
def test_windows_of_many_corners_are_cut_in_two(sides: int) -> None:
    pose = glint.Scene(**PLAIN).at(seconds=0.0)
    found = beams(pose)[0]
    found = found._replace(window=found.window.copy(), sides=found.sides.copy())
    turns = 2.0 * np.pi * np.arange(sides) / sides
    found.window[1, :sides] = np.column_stack([np.cos(turns), np.sin(turns), np.ones(sides)])
    found.sides[1] = sides
    arrays = pose_parts(pose, found, silhouettes(pose))[1]
    rows, corners = arrays["beam"], arrays["corner"]
    assert len(rows) == len(found.sides) + (sides > MOST_CORNERS_SENT)
    starts, counts = rows[:, 3, 0].astype(int), rows[:, 3, 1].astype(int)
    assert counts.max() <= MOST_CORNERS_SENT and 64 + 12 * counts.max() <= 200
    np.testing.assert_array_equal(starts, np.cumsum(counts) - counts)
    mine = [n for n in range(len(rows)) if (rows[n, 0] == rows[1, 0]).all()]
    total = sum(area_of(corners[starts[n] : starts[n] + counts[n]]) for n in mine[:2] if n < 3)
    if sides > MOST_CORNERS_SENT:
        assert total == pytest.approx(0.5 * sides * np.sin(2.0 * np.pi / sides), rel=1e-6)


def test_what_a_ball_covers_lies_on_the_left_of_its_edges() -> None:
    scene = glint.Scene(**PLAIN)
    pose = scene.at(seconds=0.7)
    shadows = silhouettes(pose)
    shadows.edges[shadows.start[1] :] = shadows.edges[shadows.start[1] :, ::-1].copy()
    arrays = pose_parts(pose, beams(pose)[0], shadows)[1]
    lamps = lighting_of(scene).lamp_arrays
    assert len(arrays["cut_out"]) == 2
    for first, end, lamp in arrays["cut_out"]:
        edges = arrays["edge"][first:end] - lamps.position[lamp]
        seen = edges @ lamps.frame[lamp].T
        flat = seen[..., :2] / seen[..., 2:]
        turning = flat[:, 0, 0] * flat[:, 1, 1] - flat[:, 0, 1] * flat[:, 1, 0]
        # The area of what is covered, as its lamp sees it.
        assert 0.5 * turning.sum() > 1e-4


def test_diffuse_light_and_exposure_are_those_of_the_maps() -> None:
    scene = glint.Scene(**PLAIN)
    facts, arrays = scene_parts(scene, {})
    maps = glint.light(scene.at(seconds=0.0), 512)
    np.testing.assert_allclose(facts["ambient"], maps["dome"].ambient, rtol=0.01)
    lamps = lighting_of(scene).lamp_arrays
    np.testing.assert_allclose(arrays["candela"], lamps.candela, rtol=1e-6)
    assert [ball["tiles"] for ball in facts["balls"]] == [14]
    assert [surface["name"] for surface in facts["room"]["surfaces"]] == list(maps)


def test_the_exact_dome_is_that_of_a_still() -> None:
    scene = glint.Scene(**PLAIN, optics={"bounces": 2})
    facts, _ = scene_parts(scene, {})
    packet = exact(scene, Sight("dome", (256, 256)), 0.0, facts["exposure"]["dome"])
    drawn = np.asarray(Image.open(io.BytesIO(packet.arrays["image"].tobytes())), float)
    still = glint.draw(scene.at(seconds=0.0), "dome", 256).astype(float)
    # Exposed alike but for what a map of other texels says of the brightest spots; JPEG does the
    # rest.
    assert (
        abs(drawn - still).mean() < 4.0 and np.corrcoef(drawn.ravel(), still.ravel())[0, 1] > 0.97
    )


def test_struts_and_bare_triangles_are_those_that_are_painted() -> None:
    room = {"radius_m": 4.0, "frequency": 3, "open_share": 0.3, "seed": 2}
    scene = glint.Scene(**{**PLAIN, "room": room})
    arrays = scene_parts(scene, {})[1]
    frame = scene.room.frame
    assert isinstance(frame, Frame)
    centre, radius = scene.room.surfaces[0].form[:3], scene.room.surfaces[0].form[3]
    assert len(arrays["bare"]) == frame.bare.sum() > 0
    middles = arrays["bare"].mean(axis=1) - centre
    assert frame.is_bare(middles).all()
    struts = arrays["strut"] - centre
    np.testing.assert_allclose(np.linalg.norm(struts, axis=2), radius, rtol=1e-5)
    half = struts.mean(axis=1)
    half /= np.linalg.norm(half, axis=1, keepdims=True)
    # A strut's middle lies on a great circle of the frame.
    assert frame.distance(half, *frame.locate(half)).max() < 1e-5
    painted = paint_packet(scene, 64)
    assert painted is not None and list(painted.arrays) == ["paint dome"]
    assert paint_packet(glint.Scene(**PLAIN), 64) is None


def test_maps_of_strings_hold_their_lumens() -> None:
    scene = glint.Scene(**STRUNG)
    strings = Strings()
    assert not strings.are_of(scene)
    steps = sum(1 for _ in strings.work(scene))
    assert strings.are_of(scene) and steps == len(scene.room.surfaces) == len(strings.packets)
    assert {packet.arrays["maps"].shape[0] for packet in strings.packets} == {3}
    # A twinkle is a raised cosine: on average half of what there is at full brightness.
    out = [audit_strings(scene.at(seconds=s), 128)[0].out for s in np.arange(0.0, 4.0, 0.5)]
    assert strings.lumens == pytest.approx(np.mean(out), rel=0.02)
    lower = scene.with_({"ball[0].motion.rpm": 3.0})
    assert strings.are_of(lower)
    assert not strings.are_of(scene.with_({"string[0].led_lumens": 3.0}))


def test_a_scene_with_strings_alone_is_sent_too() -> None:
    scene = glint.Scene(**STRUNG)
    facts, arrays = scene_parts(scene, {})
    assert arrays["candela"].shape[0] == 0 and arrays["opening_sides 0"].min() > 3
    pose = unpack(pose_packet(scene.at(seconds=1.0), 1, 1))
    assert len(pose.arrays["beam"]) == 0 and pose.facts["strings"][0]["luminance"][0] > 0.0
    assert pose.facts["strings"][0]["weights"] == pytest.approx([1.0, 0.0, 1.0])
    assert facts["cavities"][0]["turns"] == {"dome": True, "floor": True}


def test_every_shape_of_the_catalogue_has_a_body() -> None:
    found = unpack(shapes_packet(3))
    entries = catalogue()
    shapes = found.arrays["polygon"][:, 2]
    assert found.seq == 3 and set(shapes) == set(range(len(entries)))
    for number in (0, len(entries) // 2, len(entries) - 1):
        assert 2.0 * found.facts["radius"][number] == pytest.approx(entries[number].diameter)
