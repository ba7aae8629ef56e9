"""Scenes read, built and written again."""

from __future__ import annotations

from os import PathLike
from pathlib import Path

from glint.errors import UsageError, in_words
from glint.scene.scene import Scene
from glint.schema.read import read_scene
from glint.schema.tables import SceneFile


def load(path: str | PathLike[str]) -> Scene:
    """Read and build a scene file. Raises SceneError with every problem found."""
    if not isinstance(path, str | PathLike):
        allowed = "the path of a scene file; tables make one by glint.Scene"
        raise UsageError(f"path: found {in_words(path)}; allowed: {allowed}")
    return build(read_scene(Path(path)))


def build(file: SceneFile) -> Scene:
    """Build a checked scene file. Raises SceneError."""
    return Scene.of(file)
