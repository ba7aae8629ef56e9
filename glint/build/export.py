"""The geometry of a pose as a file for other programs: GLB, STL, OBJ or PLY.

Everything stands in the room's frame: metres, z up, origin on the floor under the middle of the
room. The same pose gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from glint.errors import require_choice, require_kind
from glint.files.atomic import whole_file
from glint.room.mesh import Mesh, mesh
from glint.scene.scene import Pose
from glint.version import VERSION

if TYPE_CHECKING:
    import trimesh

PARTS = ("mirrors", "panels", "room")

LOOKS = {
    "mirrors": ((235, 238, 242, 255), 1.0, 0.03),
    "panels": ((46, 46, 50, 255), 0.0, 0.8),
    "room": ((214, 208, 198, 255), 0.0, 1.0),
}
"""Colour, metalness and roughness (glTF 2.0, section 3.9) that each part has in a GLB file."""


def geometry(pose: Pose, part: str) -> Mesh:
    """The triangles of "mirrors", "panels" or "room".

    Mirrors are the reflecting faces of the tiles, panels the flat polygons under them; of both the
    triangles of each polygon are consecutive, no two polygons share corners, and they are
    anticlockwise seen from the front. The room is closed, its normals point into it.
    """
    if part == "room":
        return mesh(pose.scene.room)
    shapes = pose.polygons
    chosen = shapes.mirror if part == "mirrors" else ~shapes.mirror
    return _fans(shapes.corners[chosen], shapes.sides[chosen])


def export(
    pose: Pose, path: str | Path, *, parts: Sequence[str] = PARTS, force: bool = False
) -> None:
    """Write a pose's geometry; the ending of `path` says how.

    parts: some of "mirrors", "panels" and "room". A GLB file has a node of that name for each, with
    no transform; an OBJ file an object; an STL or PLY file has their triangles in that order.
    Raises UsageError and GlintError as `whole_file` does.
    """
    require_kind("pose", pose, Pose, "a pose, as scene.at(degrees=15.0) makes it")
    for part in parts:
        require_choice("parts", part, PARTS)
    with whole_file(path, force, ENDINGS) as place:
        scene = _as_scene(pose, [part for part in PARTS if part in parts])
        place.write_bytes(ENCODERS[place.suffix.lower()](scene))


def _as_scene(pose: Pose, parts: Sequence[str]) -> trimesh.Scene:
    from trimesh import Scene, Trimesh

    scene = Scene()
    for part in parts:
        found = Trimesh(*geometry(pose, part), process=False)
        scene.add_geometry(found, geom_name=part, node_name=part)
    return scene


def _glb(scene: trimesh.Scene) -> bytes:
    from trimesh.exchange import gltf

    for part, found in scene.geometry.items():
        _paint(found, part)
    return gltf.export_glb(scene, include_normals=False)


def _obj(scene: trimesh.Scene) -> bytes:
    from trimesh.exchange import obj

    plain = {"include_normals": False, "include_color": False, "include_texture": False}
    text = obj.export_obj(scene, header=f"glint {VERSION}", digits=9, **plain)
    return f"{text}\n".encode()


def _stl(scene: trimesh.Scene) -> bytes:
    from trimesh.exchange import stl

    return stl.export_stl(_together(scene))


def _ply(scene: trimesh.Scene) -> bytes:
    from trimesh.exchange import ply

    return ply.export_ply(_together(scene), vertex_normal=False)


def _together(scene: trimesh.Scene) -> trimesh.Trimesh:
    from trimesh import Trimesh, util

    whole = util.concatenate(list(scene.geometry.values()))
    assert isinstance(whole, Trimesh)
    return whole


ENCODERS = {".glb": _glb, ".stl": _stl, ".obj": _obj, ".ply": _ply}
"""How the parts of a pose, by name, become a file, by its ending."""

ENDINGS = tuple(ENCODERS)


def _paint(found: trimesh.Trimesh, part: str) -> None:
    from trimesh.visual import TextureVisuals
    from trimesh.visual.material import PBRMaterial

    colour, metalness, roughness = LOOKS[part]
    found.visual = TextureVisuals(
        material=PBRMaterial(
            name=part,
            baseColorFactor=colour,
            metallicFactor=metalness,
            roughnessFactor=roughness,
            doubleSided=part == "panels",
        )
    )


def _fans(corners: NDArray[np.float64], sides: NDArray[np.int64]) -> Mesh:
    """Convex polygons as fans about their first corners.

    corners: (n, V, 3) float, short rows padded; sides: (n,) int.
    """
    used = np.arange(corners.shape[1]) < sides[:, None]
    first = np.repeat(np.cumsum(sides) - sides, sides - 2)
    number = np.concatenate([np.arange(1, count - 1) for count in sides])
    return Mesh(corners[used], np.column_stack([first, first + number, first + number + 1]))
