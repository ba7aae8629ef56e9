"""A view: what a picture or a loop shows. Kept light, for the command line names views before it
draws any: what draws is imported when it is asked for."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from typing import Any, ClassVar

Exposures = Callable[[int, float], list[tuple[float, list[Fraction]]]]
"""Of a frame's number and the side of a texel, m: shares of its light, and the moments, s, that
each is the mean of."""

Size = tuple[int, int]
"""Width and height, pixels."""


class View(ABC):
    """One view. name, words: what it is called, and what it shows. height: pixels of a still where
    none is told. wide: width over height where only the height is told."""

    name: ClassVar[str]
    words: ClassVar[str]
    height: ClassVar[int] = 1024
    wide: ClassVar[float] = 1.0
    of_maps: ClassVar[bool] = True
    """Whether it shows nothing but light maps, so that it can show the mean of a turn."""

    def size(self, size: int | Size | None) -> Size:
        """Width and height, pixels, of one number, the height; the width comes out even."""
        if isinstance(size, tuple):
            return size
        height = size or self.height
        return (2 * round(height * self.wide / 2) if self.wide != 1.0 else height, height)

    @abstractmethod
    def texels(self, size: Size) -> int:
        """Width of the light maps that its picture wants."""

    def seen(self, room: Any) -> tuple[str, ...] | None:
        """Names of the surfaces that it shows; None for all."""
        return None

    @abstractmethod
    def still(self, pose: Any, size: int | Size | None, ev: float) -> Any:
        """A picture of a pose: (h, w, 3) uint8; ev: stops brighter than the automatic exposure."""

    def picture(self, maps: Mapping[str, Any], room: Any, size: Size, ev: float) -> Any:
        """The same from light maps that are there already, `texels` wide, if it is `of_maps`."""
        raise NotImplementedError(self.name)

    @abstractmethod
    def frames(
        self, scene: Any, size: Size, count: int, exposures: Exposures, stops: float, numbers: range
    ) -> Iterator[Any]:
        """Frames of a loop, (h, w, 3) uint8 each: those of some numbers out of count."""


class MapView(View):
    """A view of one light map, in the middle of its canvas."""

    def texels(self, size: Size) -> int:
        """As in View."""
        from glint.render.canvas import side_of_map

        return side_of_map(*size)

    @abstractmethod
    def seen(self, room: Any) -> tuple[str, ...]:
        """As in View; of several, the outermost first."""

    def still(self, pose: Any, size: int | Size | None, ev: float) -> Any:
        """As in View. Of one number for the size, the map by itself, as wide as that."""
        from glint.lighting.illumination import light
        from glint.render.still import shown

        room = pose.scene.room
        names = self.seen(room)
        if isinstance(size, tuple):
            return self.picture(light(pose, self.texels(size), names), room, size, ev)
        return shown(light(pose, size or self.height, names), names, ev, room)

    def picture(self, maps: Mapping[str, Any], room: Any, size: Size, ev: float) -> Any:
        """As in View."""
        from glint.render.canvas import centred
        from glint.render.still import shown

        return centred(shown(maps, self.seen(room), ev, room), *size)

    def frames(
        self, scene: Any, size: Size, count: int, exposures: Exposures, stops: float, numbers: range
    ) -> Iterator[Any]:
        """As in View."""
        from glint.render.map_frames import map_frames

        return map_frames(scene, self.seen(scene.room), size, exposures, stops, numbers)
