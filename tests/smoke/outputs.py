"""Is a file what its name says, and is there anything in it? If not, `UnsoundError` says so."""

from __future__ import annotations

import csv
import itertools
import json
import tomllib
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import av
import numpy as np
import trimesh
from PIL import Image, ImageSequence


class UnsoundError(Exception):
    """What is wrong with a file or with a run."""


def _picture(path: Path) -> None:
    with Image.open(path) as image:
        frames = [
            np.asarray(frame.convert("RGB"), float) for frame in ImageSequence.Iterator(image)
        ]
    look_at(frames)


def _film(path: Path) -> None:
    with av.open(str(path)) as film:
        look_at([frame.to_ndarray(format="rgb24").astype(float) for frame in film.decode(video=0)])


def look_at(frames: list[np.ndarray]) -> None:
    """Frames of shape (h, w, 3), from 0 to 255: each shows something, neighbours differ."""
    if not frames:
        raise UnsoundError("no frame")
    for number, frame in enumerate(frames):
        if frame.std() < 2.0:
            raise UnsoundError(
                f"frame {number} is of one colour: {frame.mean(axis=(0, 1)).round()}"
            )
    for number, (one, other) in enumerate(itertools.pairwise(frames)):
        if np.array_equal(one, other):
            raise UnsoundError(f"frames {number} and {number + 1} are the same")


def _arrays(path: Path) -> None:
    with np.load(path) as arrays:
        for name in arrays.files:
            empty = not arrays[name].any() and not name.endswith("_open")
            if not np.isfinite(arrays[name]).all() or empty:
                raise UnsoundError(f"{name} has numbers that are none, or nothing but 0")
        if not any(name.endswith("_lux") for name in arrays.files):
            raise UnsoundError(f"no light among {', '.join(arrays.files)}")


class _Page(HTMLParser):
    """Counts the tags that a page opens and has not closed again."""

    def __init__(self) -> None:
        super().__init__()
        self.opened = self.closed = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.opened += tag in ("table", "section", "figure", "html", "body")

    def handle_endtag(self, tag: str) -> None:
        self.closed += tag in ("table", "section", "figure", "html", "body")


def _page(path: Path) -> None:
    page = _Page()
    page.feed(path.read_text(encoding="utf-8"))
    if page.opened < 3 or page.opened != page.closed:
        raise UnsoundError(f"{page.opened} parts of the page are opened, {page.closed} closed")


def _drawing(path: Path) -> None:
    if len(list(ElementTree.parse(path).getroot().iter())) < 10:
        raise UnsoundError("fewer than ten elements")


def _print(path: Path) -> None:
    data = path.read_bytes()
    if not data.startswith(b"%PDF-") or b"%%EOF" not in data[-32:] or b"/Page" not in data:
        raise UnsoundError("no whole PDF")


def _rows(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    if len(rows) < 2 or len({len(row) for row in rows}) != 1:
        raise UnsoundError("no rows, or rows of several lengths")


def _figures(path: Path) -> None:
    if not json.loads(path.read_text(encoding="utf-8")):
        raise UnsoundError("empty")


def _scene(path: Path) -> None:
    if not tomllib.loads(path.read_text(encoding="utf-8")).get("ball"):
        raise UnsoundError("no ball in it")


def _text(path: Path) -> None:
    if len(path.read_text(encoding="utf-8").split()) < 50:
        raise UnsoundError("fewer than fifty words")


def _geometry(path: Path) -> None:
    mesh = trimesh.load(path, force="mesh")
    if len(mesh.faces) < 8 or not np.isfinite(mesh.vertices).all() or np.ptp(mesh.vertices) == 0:
        raise UnsoundError("no body in it")


CHECKS: dict[str, Callable[[Path], None]] = {
    ".png": _picture,
    ".gif": _picture,
    ".webp": _picture,
    ".mp4": _film,
    ".npz": _arrays,
    ".html": _page,
    ".svg": _drawing,
    ".pdf": _print,
    ".csv": _rows,
    ".json": _figures,
    ".toml": _scene,
    ".txt": _text,
    ".glb": _geometry,
    ".stl": _geometry,
}


def check(path: Path) -> None:
    """Open a file and look into it; `UnsoundError` says what is wrong."""
    if not path.is_file():
        raise UnsoundError(f"{path.name} was not written")
    try:
        CHECKS[path.suffix](path)
    except UnsoundError as wrong:
        raise UnsoundError(f"{path.name}: {wrong}") from wrong
    except Exception as wrong:
        raise UnsoundError(f"{path.name}: {type(wrong).__name__}: {wrong}") from wrong
