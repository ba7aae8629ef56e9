"""Loops as files: one cycle of the motion, a poster, and what the file says about itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import NamedTuple

from glint.errors import UsageError, require_choice, require_kind, require_number
from glint.files.atomic import check_output, whole_file
from glint.parallel.prefetch import prepared
from glint.render.canvas import Size, pixels_of
from glint.render.frames import Film, Picture
from glint.render.size_budget import MEGABYTE, Setting, in_words, settings, write_within
from glint.render.still import MOST_STOPS
from glint.render.views import VIEWS, view_of
from glint.render.writers.movie import check_movie, write_movie
from glint.render.writers.provenance import label
from glint.scene.period import LONGEST, cycle
from glint.scene.scene import Scene


class Filmed(NamedTuple):
    """What came out.

    frames: how many; seconds: how long they last; size: width and height, pixels
    length: of the file, bytes; notes: a line each on what had to be done about the join or the
    file's size
    """

    frames: int
    seconds: float
    size: tuple[int, int]
    length: int
    notes: tuple[str, ...]


def loop(
    scene: Scene,
    path: str | Path,
    view: str = "dome",
    fps: int = 30,
    size: Size = 720,
    shutter: float = 180.0,
    ev: float = 0.0,
    force: bool = False,
    progress: Callable[[int, int], None] | None = None,
    *,
    max_mb: float | None = None,
    poster: str | Path | None = None,
    longest: int = LONGEST,
) -> Filmed:
    """Write a loop; its ending says whether as MP4, GIF, WebP or animated PNG.

    The loop lasts one period of the motion, to the nearest frame, and its frames share it out
    evenly, so the last is one step before the first; where there is no period of at most `longest`
    seconds, the end is faded into the beginning. view: as of `draw`. size: width and height,
    pixels, or a name of `views.SIZES`; a round map stands in the middle. One number is the height,
    of an eye's view at 16 to 9, of a panorama at 4 to 1, of others of a square. shutter: degrees of
    each frame's time for which it gathers light, 360 the whole; 0 a single instant. One exposure
    holds for all. max_mb: most megabytes of 10**6 bytes, reached by a lower quality, then a smaller
    picture. poster: a PNG of one frame.

    Raises UsageError and GlintError; nothing is written then.
    """
    require_kind("scene", scene, Scene, "a scene, as glint.load or glint.Scene makes it")
    require_choice("view", view, VIEWS)
    require_kind("fps", fps, int | float | Fraction, "a number of pictures a second")
    require_number("shutter", shutter, 0.0, 360.0)
    require_number("ev", ev, -MOST_STOPS, MOST_STOPS)
    size = view_of(view).size(pixels_of(size))
    check_movie(path, size, fps)
    if max_mb is not None and not max_mb > 0.0:
        raise UsageError(f"max_mb: found {max_mb:g}; allowed: a number above 0")
    found = cycle(scene, longest)
    film = Film(scene, view, size, found, max(round(found.seconds * fps), 2), shutter, ev)
    kept = _Kept(film.count // 2 if film.faded else 0)
    ending = Path(path).suffix.lower()
    notes = [_of_the_join(film)] if film.faded else []
    if poster is not None:
        check_output(poster, force=force, endings=(".png",))
        if Path(poster).resolve() == Path(path).resolve():
            raise UsageError("the poster wants another name than the loop")
    with ExitStack() as files:
        place = files.enter_context(whole_file(path, force))
        page = files.enter_context(whole_file(poster, force)) if poster is not None else None

        def write(one: Film, quality: int | None = None) -> None:
            frames = partial(prepared, partial(kept.watched, one))
            entries = labels_of(one)
            write_movie(place, frames, one.count, one.rate, entries, progress, quality)

        if max_mb is None:
            write(film)
        else:
            fitted = write_within(path, place, film, int(max_mb * MEGABYTE), write, labels_of)
            notes.append(_of_the_size(film, fitted.setting, fitted.length, ending, max_mb))
            film = film._replace(size=fitted.setting.size)
        if page is not None and kept.picture is not None:
            from glint.render.writers.png import write_png

            write_png(page, kept.picture, labels_of(film))
        length = place.stat().st_size
    return Filmed(film.count, float(found.seconds), film.size, length, tuple(notes))


def labels_of(film: Film) -> dict[str, str]:
    """What the file says: title, program, the scene's hash, and what it was filmed with. The last
    two decide every pixel."""
    width, height = film.size
    filmed = (
        f"view {film.view}, {width}x{height}, {film.count} frames in "
        f"{float(film.cycle.seconds):.9g} s, shutter {film.shutter:g} deg, {film.stops:+g} stops"
    )
    if film.faded:
        filmed += f", join faded over {film.faded} frames"
    return {**label(film.scene.source), "filmed": filmed}


def _of_the_join(film: Film) -> str:
    return (
        f"{film.cycle.reason}: after {float(film.cycle.seconds):.1f} s the end is faded into the "
        f"beginning, over {float(film.cycle.fade):.1f} s"
    )


def _of_the_size(film: Film, setting: Setting, length: int, ending: str, most: float) -> str:
    taken = f"{length / MEGABYTE:.2f} MB of at most {most:g}"
    if setting == settings(film.size, ending)[0]:
        return f"{taken}, nothing had to be lowered"
    what = "quality" if setting.size == film.size else "quality and size"
    return f"{taken}: {what} lowered to {in_words(setting, ending)}"


class _Kept:
    """The frame for the poster, caught as it goes by."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.picture: Picture | None = None

    def watched(self, film: Film) -> Iterator[Picture]:
        for number, picture in enumerate(film.frames()):
            if number == self.number:
                self.picture = picture.copy()
            yield picture
