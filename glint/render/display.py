"""A small picture of a pose for notebooks."""

from __future__ import annotations

from io import BytesIO

from PIL import Image

from glint.render.still import draw
from glint.scene.scene import Pose

PIXELS = 384


def png(pose: Pose) -> bytes:
    """What is overhead, PIXELS wide, as a PNG."""
    held = BytesIO()
    Image.fromarray(draw(pose, "dome", PIXELS)).save(held, "png")
    return held.getvalue()
