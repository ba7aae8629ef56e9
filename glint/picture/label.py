"""What a picture file says about itself: title, program, and which scene it shows."""

from __future__ import annotations

import hashlib

import glint
from glint.scene.model import SceneFile


def label(scene: SceneFile) -> dict[str, str]:
    """The entries "title", "software" and "scene" (a SHA-256 of every value of the scene file)."""
    digest = hashlib.sha256(scene.model_dump_json().encode()).hexdigest()
    return {
        "title": scene.title,
        "software": f"glint {glint.__version__}",
        "scene": f"sha256 {digest}",
    }


def in_one_text(entries: dict[str, str]) -> str:
    """Entries as one text, a line each, for formats that hold a single comment."""
    return "\n".join(f"{key}: {value}" for key, value in entries.items())
