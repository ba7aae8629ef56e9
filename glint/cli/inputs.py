"""What a command reads it does not write over, with `--force` neither."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from glint.errors import UsageError, printable
from glint.files.atomic import told_plainly

if TYPE_CHECKING:
    from glint.schema.tables import SceneFile


def keep_inputs(file: SceneFile, *outputs: Path | None) -> None:
    """Raises UsageError where an output is the scene file, or a file that the scene names."""
    named = [lamp.file for lamp in file.lamp] + [ball.shape.mesh for ball in file.ball]
    inputs = [file.path, *(file.folder / name for name in named if name is not None)]
    for output in outputs:
        if output is None:
            continue
        with told_plainly(output):
            if not output.exists():
                continue
            if any(path.exists() and output.samefile(path) for path in inputs):
                shown = printable(str(output))
                raise UsageError(
                    f"{shown} is read for this scene, and would be lost; give another name"
                )
