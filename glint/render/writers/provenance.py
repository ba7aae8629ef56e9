"""What a picture file says about itself: title, program, and which scene it shows."""

from __future__ import annotations

import hashlib

from glint.files.read import LAMP_LIMIT, MESH_LIMIT, read_named_file
from glint.schema.tables import SceneFile
from glint.version import VERSION

BESIDE_THE_LIGHT = {"title", "candidate", "free", "goal", "visible_contrast"}
"""Tables and keys of a scene file that change nothing in a picture."""


def label(scene: SceneFile) -> dict[str, str]:
    """The entries "title", "software" and "scene", which is `scene_hash`."""
    return {
        "title": scene.title,
        "software": f"glint {VERSION}",
        "scene": f"sha256 {scene_hash(scene)}",
    }


def scene_hash(scene: SceneFile) -> str:
    """SHA-256 of everything in a scene that decides what it looks like: every value, defaults as
    well, and the content of the lamp files and meshes that it names. Raises FileError where one of
    them can no longer be read."""
    digest = hashlib.sha256(scene.model_dump_json(exclude=BESIDE_THE_LIGHT).encode())
    named = [(lamp.file, LAMP_LIMIT) for lamp in scene.lamp]
    named += [(ball.shape.mesh, MESH_LIMIT) for ball in scene.ball]
    for name, limit in named:
        if name is not None:
            content = read_named_file(scene.folder, name, limit)
            digest.update(hashlib.sha256(content).digest())
    return digest.hexdigest()


def in_one_text(entries: dict[str, str]) -> str:
    """Entries as one text, a line each, for formats that hold a single comment."""
    return "\n".join(f"{key}: {value}" for key, value in entries.items())
