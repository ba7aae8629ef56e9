"""Mesh files: STL, OBJ, PLY and GLB into one closed surface of triangles, or a clear refusal.

Only the bytes of the one file are looked at: materials, pictures and other files that it names are
left alone.
"""

from __future__ import annotations

import io
import itertools
import json
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from glint.errors import ShapeError, in_words
from glint.files.read import MESH_ENDINGS, MESH_LIMIT, FileError, read_named_file

MOST_TRIANGLES = 20_000

SAME = 1e-6
"""Corners closer than this share of the mesh's size are one: STL files repeat them, rounded."""

FLAT_SHARE = 1e-4
"""How far a face's corners may be from its plane, as a share of its size."""

THINNEST = 0.003
"""Least thickness of a mesh, as a share of its size: front and back of a sheet would be one."""

_MOST_PARTS = 1000  # nodes and primitives of a GLB file
_A_CLOSED_MESH = "a closed mesh, each edge of it shared by two triangles"


class Mesh(NamedTuple):
    """A closed surface. vertices: (v, 3) float, in the file's unit, z up; triangles: (t, 3) int,
    anticlockwise seen from outside.
    """

    vertices: np.ndarray
    triangles: np.ndarray


def read_mesh(folder: Path, name: str) -> Mesh:
    """The mesh of a file beside a scene. Raises ShapeError."""
    try:
        data = read_named_file(folder, name, MESH_LIMIT)
    except FileError as error:
        raise ShapeError("shape.mesh", error.found, error.allowed, error.nearest) from None
    try:
        return mesh_of(data, mesh_ending(name))
    except ValueError as error:
        found, allowed = error.args
        raise ShapeError("shape.mesh", f"{in_words(name)}, {found}", allowed) from None


def mesh_ending(name: str) -> str:
    """The ending that fixes the format, without its dot. Raises ShapeError for any other."""
    ending = Path(name).suffix.lower().removeprefix(".")
    if ending not in MESH_ENDINGS:
        raise ShapeError("shape.mesh", in_words(name), f"a file ending in {_endings()}")
    return ending


def mesh_of(data: bytes, ending: str) -> Mesh:
    """The mesh of a file's content. Raises ValueError with two texts: what was found, and what is
    allowed.
    """
    if not data:
        raise ValueError("an empty file", _A_CLOSED_MESH)
    if ending == "glb":
        _require_sound_glb(data)
    vertices, triangles = _loaded(data, ending)
    if not len(triangles):
        raise ValueError("a file without triangles", _A_CLOSED_MESH)
    if len(triangles) > MOST_TRIANGLES:
        raise ValueError(f"{len(triangles)} triangles", f"at most {MOST_TRIANGLES} triangles")
    if triangles.min() < 0 or triangles.max() >= len(vertices):
        raise ValueError("triangles with corners that are not there", _A_CLOSED_MESH)
    if not np.isfinite(vertices[triangles]).all():
        raise ValueError("corners that are not finite numbers", "finite coordinates")
    if ending == "glb":  # glTF 2.0, section 3.4: +y is up
        vertices = vertices @ np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    return closed_mesh(vertices, triangles)


def mesh_of_faces(vertices: np.ndarray, faces: Sequence[Sequence[int]]) -> Mesh:
    """The mesh of corners (v, 3) and flat convex faces, places of their corners, from 0. Raises
    ValueError with two texts, as `mesh_of`.
    """
    triangles = []
    for number, face in enumerate(faces):
        if max(face) >= len(vertices):
            found = f"the corner {max(face)} in face {number}"
            raise ValueError(found, f"places from 0 to {len(vertices) - 1}")
        ring = vertices[list(face)]
        sides = np.roll(ring, -1, axis=0) - ring
        turns = np.cross(sides, np.roll(sides, -1, axis=0))
        across = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
        length = np.linalg.norm(across)
        across = across / length if length > 0.0 else across
        size = float(np.linalg.norm(np.ptp(ring, axis=0)))
        if np.abs((ring - ring.mean(axis=0)) @ across).max() > FLAT_SHARE * size:
            raise ValueError(f"the face {number}, which is not flat", "flat faces")
        if (turns @ across).min() < -SAME * size**2 or len(set(face)) < len(face):
            raise ValueError(f"the face {number}, which is not convex", "convex faces")
        triangles += [(face[0], *pair) for pair in itertools.pairwise(face[1:])]
    if len(triangles) > MOST_TRIANGLES:
        found = f"faces that make {len(triangles)} triangles"
        raise ValueError(found, f"at most {MOST_TRIANGLES} triangles")
    return closed_mesh(vertices, np.array(triangles, dtype=np.int64))


def closed_mesh(vertices: np.ndarray, triangles: np.ndarray) -> Mesh:
    """The closed surface of triangles, outward and about its centre. Raises ValueError with two
    texts, as `mesh_of`."""
    return _outward(_closed(*_merged(vertices, triangles)))


def _loaded(data: bytes, ending: str) -> tuple[np.ndarray, np.ndarray]:
    import trimesh

    text = _plain(data, ending)
    try:
        with np.errstate(all="ignore"):
            loaded = trimesh.load(
                io.BytesIO(text),
                file_type=ending,
                force="mesh",
                resolver={},
                process=False,
                skip_materials=True,
            )
        vertices = np.array(getattr(loaded, "vertices", ()), dtype=np.float64).reshape(-1, 3)
        triangles = np.array(getattr(loaded, "faces", ()), dtype=np.int64).reshape(-1, 3)
    except Exception:
        # Whatever the reader stumbles over, the file is at fault.
        raise _spoilt(ending) from None
    return vertices, triangles


def _spoilt(ending: str) -> ValueError:
    kind = ending.upper()
    return ValueError(f"which is cut short or no {kind} file", f"a whole {kind} file")


def _plain(data: bytes, ending: str) -> bytes:
    """The content with text in UTF-8: names and remarks in other alphabets are common, and say
    nothing of the shape. Raises ValueError for an STL file that is neither of the two kinds.
    """
    binary = ending == "stl" and len(data) == 84 + 50 * int.from_bytes(data[80:84], "little")
    if ending not in ("obj", "stl") or binary:
        return data
    if ending == "stl" and b"facet" not in data:
        raise _spoilt(ending)
    return data.decode("utf-8", errors="replace").encode()


def _require_sound_glb(data: bytes) -> None:
    """Raises ValueError for a GLB file that is cut short, or says of itself what would take no end
    of time or memory to follow.
    """
    if len(data) < 20 or data[:4] != b"glTF":
        raise _spoilt("glb")
    length, header_length = struct.unpack_from("<II", data, 8)
    if length != len(data) or header_length > length - 20:
        raise _spoilt("glb")
    try:
        header = json.loads(data[20 : 20 + header_length])
        nodes = header.get("nodes", [])
        children = [child for node in nodes for child in node.get("children", [])]
        counts = [accessor["count"] for accessor in header.get("accessors", [])]
        primitives = [part for mesh in header.get("meshes", []) for part in mesh["primitives"]]
        listed = [
            counts[part["indices"] if "indices" in part else part["attributes"]["POSITION"]]
            for part in primitives
        ]
        uses = [node["mesh"] for node in nodes if "mesh" in node]
        outside = any("uri" in buffer for buffer in header.get("buffers", []))
        parts = len(nodes) + len(primitives)
        most = max([0, *counts, sum(listed)])
        tree = len(set(children)) == len(children)
    except (ValueError, TypeError, KeyError, AttributeError, IndexError, RecursionError):
        raise _spoilt("glb") from None
    if outside:
        raise ValueError("a GLB file whose data lie in another file", "all data in the one file")
    if not tree or parts > _MOST_PARTS or len(set(uses)) < len(uses):
        raise ValueError(
            "a GLB file of parts used more than once, or of too many",
            f"at most {_MOST_PARTS} nodes and primitives, each used once",
        )
    if most > 3 * MOST_TRIANGLES:
        raise ValueError(f"lists of {most} corners", f"at most {MOST_TRIANGLES} triangles")


def _merged(vertices: np.ndarray, triangles: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The same triangles with corners in one place made one corner, and none left over."""
    used, triangles = np.unique(triangles, return_inverse=True)
    points, number = np.unique(vertices[used], axis=0, return_inverse=True)
    triangles = number.ravel()[triangles.reshape(-1, 3)]
    size = float(np.linalg.norm(np.ptp(points, axis=0)))
    if not np.isfinite(size) or size == 0.0:
        raise ValueError("a mesh of no size, or an endless one", "a body with a volume")
    pairs = KDTree(points).query_pairs(SAME * size, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points),) * 2)
    _, group = connected_components(links, directed=False)
    _, first = np.unique(group, return_index=True)
    points, triangles = points[first], group[triangles]
    sides = points[np.roll(triangles, -1, axis=1)] - points[triangles]
    longest = np.linalg.norm(sides, axis=2).max(axis=1)
    doubled = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1)
    thin = int((doubled <= SAME * size * longest).sum())
    if thin:
        what = "triangle" if thin == 1 else "triangles"
        raise ValueError(f"{thin} {what} without an area", "triangles with an area")
    return points, triangles


def _closed(vertices: np.ndarray, triangles: np.ndarray) -> Mesh:
    """Raises ValueError unless each edge is walked once one way and once the other."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    pairs = np.sort(np.stack([start, end], axis=1), axis=1)
    edges, which, counts = np.unique(pairs, axis=0, return_inverse=True, return_counts=True)

    def at(edge: np.ndarray) -> str:
        x, y, z = (f"{value:.4g}" for value in vertices[edge].mean(axis=0))
        return f"the first at ({x}, {y}, {z})"

    if (counts > 2).any():
        many = int((counts > 2).sum())
        found = f"{many} edges shared by more than two triangles, {at(edges[counts > 2][0])}"
        raise ValueError(found, _A_CLOSED_MESH)
    if (counts < 2).any():
        many = int((counts < 2).sum())
        found = f"{many} edges of one triangle only, {at(edges[counts < 2][0])}"
        raise ValueError(found, _A_CLOSED_MESH)
    upward = np.bincount(which.ravel(), weights=start < end)
    if (upward != 1).any():
        many = int((upward != 1).sum())
        found = f"{many} edges whose two triangles turn different ways, {at(edges[upward != 1][0])}"
        raise ValueError(found, "triangles that all turn the same way")
    return Mesh(vertices, triangles)


def _outward(mesh: Mesh) -> Mesh:
    """The mesh about its centre of volume, turned inside out if it is."""
    vertices = mesh.vertices - mesh.vertices.mean(axis=0)
    a, b, c = (vertices[mesh.triangles[:, k]] for k in range(3))
    parts = (a * np.cross(b, c)).sum(axis=1) / 6.0
    volume = parts.sum()
    if abs(volume) <= SAME * np.linalg.norm(np.ptp(vertices, axis=0)) ** 3:
        raise ValueError("a mesh without a volume", "a body with a volume")
    thinnest = np.ptp(vertices @ np.linalg.svd(vertices, full_matrices=False)[2].T, axis=0).min()
    if thinnest < THINNEST * np.linalg.norm(np.ptp(vertices, axis=0)):
        found = "a mesh as flat as a sheet"
        raise ValueError(found, f"a body at least {THINNEST:g} times as thick as it is wide")
    centre = (parts[:, None] * (a + b + c)).sum(axis=0) / (4.0 * volume)
    triangles = mesh.triangles if volume > 0 else mesh.triangles[:, ::-1]
    return Mesh(vertices - centre, triangles)


def _endings() -> str:
    return ", ".join(f".{ending}" for ending in MESH_ENDINGS[:-1]) + f" or .{MESH_ENDINGS[-1]}"
