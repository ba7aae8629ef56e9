"""The mirrors and panels to throw photons at, read from a GLB, with the true plane of every tile.

Embree works in 32-bit floats, so everything is moved to the middle of the mirrors first: there the
coordinates are small and a photon can start a micrometre off a tile without falling back on it.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import NamedTuple

import numpy as np
import trimesh
from embreex.mesh_construction import TriangleMesh
from embreex.rtcore_scene import EmbreeScene
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

# A corner stored as a 32-bit float is off by up to 4 micrometres at 64 m from the origin.
FLATNESS = 2e-5


class Target(NamedTuple):
    """A sphere that photons are aimed at: centre (3,) m, radius m."""

    centre: np.ndarray
    radius: float


class Geometry:
    """Mirror tiles and panels.

    mirrors: (vertices (v, 3) float m, faces (f, 3) int); a tile is a run of faces joined by shared
    vertices, anticlockwise seen from its reflecting side. panels: the same, or None.
    """

    def __init__(
        self,
        mirrors: tuple[np.ndarray, np.ndarray],
        panels: tuple[np.ndarray, np.ndarray] | None = None,
    ) -> None:
        vertices, faces = (np.asarray(part) for part in mirrors)
        corners = [vertices[faces].astype(float)]
        if panels is not None:
            corners.append(np.asarray(panels[0], dtype=float)[np.asarray(panels[1])])
        self.triangles = np.concatenate(corners)
        self.tile_of = _tiles(faces, len(vertices))
        self.mirror_triangles = len(faces)
        self.tiles = int(self.tile_of[-1]) + 1 if len(faces) else 0
        lowest, highest = self.triangles.min((0, 1)), self.triangles.max((0, 1))
        self.centre = (lowest + highest) / 2
        reach = np.abs(self.triangles - self.centre).max()
        # A micrometre off the tile, or more where 32-bit floats are coarser than that.
        self.offset = max(1e-6, 8 * float(np.spacing(np.float32(reach))))
        self.normals, self.distances = self._planes()

    def _planes(self) -> tuple[np.ndarray, np.ndarray]:
        """Unit normals (tiles, 3), and distances (tiles,) of the planes from the centre, m."""
        shifted = self.triangles[: self.mirror_triangles] - self.centre
        areas = np.cross(shifted[:, 1] - shifted[:, 0], shifted[:, 2] - shifted[:, 0])
        normals = np.zeros((self.tiles, 3))
        middles = np.zeros((self.tiles, 3))
        np.add.at(normals, self.tile_of, areas)
        np.add.at(middles, self.tile_of, shifted.mean(1))
        lengths = np.linalg.norm(normals, axis=1)
        if not np.all(lengths > 0):
            raise ValueError(f"tile {int(np.argmin(lengths))} has no area")
        normals /= lengths[:, None]
        middles /= np.bincount(self.tile_of, minlength=self.tiles)[:, None]
        distances = np.einsum("tj,tj->t", normals, middles)
        off = np.einsum("fcj,fj->fc", shifted, normals[self.tile_of])
        off -= distances[self.tile_of][:, None]
        if off.size and np.abs(off).max() > FLATNESS:
            worst = int(self.tile_of[np.abs(off).max(1).argmax()])
            raise ValueError(f"tile {worst} is not flat: {np.abs(off).max():.2e} m off its plane")
        return normals, distances

    @cached_property
    def embree(self) -> EmbreeScene:
        """The scene as Embree sees it, about `centre`; mirror triangles come first."""
        scene = EmbreeScene()
        TriangleMesh(scene, (self.triangles - self.centre).astype(np.float32))
        return scene

    @cached_property
    def tile_data(self) -> tuple[np.ndarray, np.ndarray]:
        """Tile of each mirror triangle; rows nx, ny, nz, distance (4, tiles) float32."""
        planes = np.vstack([self.normals.T, self.distances]).astype(np.float32)
        return self.tile_of.astype(np.int32), planes

    def bounds(self) -> tuple[Target, ...]:
        """One sphere about everything, to aim photons at; for several balls give one each."""
        radius = np.linalg.norm(self.triangles - self.centre, axis=2).max()
        return (Target(self.centre, float(radius)),)

    def __getstate__(self) -> dict:
        # Embree's tree lives in foreign memory: every process builds its own.
        return {key: value for key, value in self.__dict__.items() if key != "embree"}


def _tiles(faces: np.ndarray, vertices: int) -> np.ndarray:
    """Tile number of each mirror triangle (f,) int, counted in the order of the file."""
    if not len(faces):
        return np.zeros(0, dtype=np.int64)
    first, then = np.repeat(faces[:, 0], 2), faces[:, 1:].ravel()
    links = coo_array((np.ones(len(first)), (first, then)), shape=(vertices, vertices))
    part = connected_components(links, directed=False)[1][faces[:, 0]]
    starts = np.r_[True, part[1:] != part[:-1]]
    if np.count_nonzero(starts) != len(np.unique(part)):
        raise ValueError("the triangles of a tile do not follow each other")
    return np.cumsum(starts) - 1


def read_glb(path: str | Path) -> Geometry:
    """Geometry of an exported GLB: nodes `mirrors` (required) and `panels` (m, z up)."""
    scene = trimesh.load_scene(path, process=False)
    meshes = {}
    for node in scene.graph.nodes_geometry:
        placed, name = scene.graph[node]
        mesh = scene.geometry[name]
        meshes[node] = (trimesh.transform_points(mesh.vertices, placed), np.asarray(mesh.faces))
    if "mirrors" not in meshes:
        raise ValueError(f"{path}: no node `mirrors`; found {sorted(meshes)}")
    return Geometry(meshes["mirrors"], meshes.get("panels"))
