"""What is worked out while nobody waits: short pieces, the most wanted first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np

from glint.errors import GlintError
from glint.kernels.arrays import Floats
from glint.lighting.illumination import beams, summed
from glint.lighting.prepared import lighting_of
from glint.lighting.strings.cavity import LedCavity
from glint.lighting.strings.maps import turns_with, wave_maps
from glint.live.pictures import Sight, exact, paint_packet
from glint.live.session.figures import Looker, Turning, of_the_body, tile_kinds
from glint.live.wire import Kind, Packet
from glint.photometry.colour import LUMINANCE
from glint.room.charts import chart_of
from glint.room.surface import Surface
from glint.scene.cache import Same
from glint.scene.scene import Scene

PAINTED = 1024
"""Texels across a surface that struts are painted on."""

STRUNG = 256
"""Texels across a surface that strings light: their light is soft."""

TOLD_EVERY = 16
"""Poses of a turn between two words of progress."""

Send = Callable[[int | None, Any, str], None]
Fail = Callable[[int, str, GlintError], None]


class Strings:
    """What strings send to the surfaces of a room, kept as long as neither changes."""

    def __init__(self) -> None:
        self._of: list[Any] = []
        self.packets: list[Packet] = []
        self.landed: dict[str, Floats] = {}
        self.lumens: float | None = None

    def are_of(self, scene: Scene) -> bool:
        """Whether what is kept is that of a scene."""
        return self._of == _sources(scene)

    def work(self, scene: Scene) -> Iterator[None]:
        """Find all of it, a map at a time."""
        packets, landed = [], {s.name: np.zeros(3) for s in scene.room.surfaces}
        cavities = lighting_of(scene).cavities
        for number, inside in enumerate(cavities):
            for surface in scene.room.surfaces:
                packet, lumens = _map(scene, number, inside, surface)
                packets.append(packet)
                landed[surface.name] += lumens
                yield
        self._of, self.packets, self.landed = _sources(scene), packets, landed
        total = sum(landed.values(), np.zeros(3)) @ LUMINANCE
        self.lumens = float(total) if cavities else None


def _sources(scene: Scene) -> list[Any]:
    return [Same(scene.room), *(Same(inside) for inside in lighting_of(scene).cavities)]


def _map(scene: Scene, number: int, inside: LedCavity, surface: Surface) -> tuple[Packet, Floats]:
    """The maps of one ball's strings on a surface, as they lie at second 0 or at angle 0; and the
    lumens of all LEDs at their mean, (3,)."""
    chart, turns = chart_of(surface, STRUNG), turns_with(inside, surface)
    pose = scene.at(seconds=0.0)
    turn = np.eye(3) if turns else pose.rotations[inside.ball]
    maps = wave_maps(inside, turn, pose.centres[inside.ball], chart)
    facts = {
        "cavity": number,
        "ball": inside.ball,
        "surface": surface.name,
        "size": [int(side) for side in chart.size],
        "place": chart.place.tolist(),
        "seconds": None if turns else 0.0,
    }
    most = float(np.finfo(np.float16).max)
    halves = np.clip(maps, -most, most).astype(np.float16)
    return Packet(Kind.STRINGS, 0, facts, {"maps": halves}), summed(maps[0]) * chart.texel_area


class Rest:
    """The work on one scene at one moment, to be done piece by piece; see `Studio.rest`."""

    def __init__(self, scene: Scene, revision: int, facts: Mapping[str, Any], send: Send) -> None:
        """facts: of the scene's packet."""
        self.scene, self.revision, self.send = scene, revision, send
        self.ambient, self.exposure = np.array(facts["ambient"]), facts["exposure"]["dome"]
        self.looker = Looker(scene, self.ambient)
        self.turn: dict[str, Any] | None = None

    def now(self, seconds: float, strings: Strings, progress: float | None = None) -> None:
        """Send the figures of a moment, with those of the turn where they are known."""
        pose = self.scene.at(seconds=seconds)
        found = beams(pose)[0]
        figures = self.looker.figures(found, self.looker.visible(pose, found))
        figures |= of_the_body(self.scene) | {
            "string_lumens_out": strings.lumens if self.scene.strings else None
        }
        message = {
            "type": "figures",
            "revision": self.revision,
            "seconds": seconds,
            "now": figures,
            "stock": tile_kinds(self.scene),
            "turn": self.turn,
            "progress": progress,
        }
        self.send(None, message, "figures")

    def work(
        self,
        seconds: float,
        sights: Mapping[int, Sight],
        strings: Strings,
        fail: Fail,
    ) -> Iterator[None]:
        """All that can wait, in the order in which it is missed most."""
        self.now(seconds, strings)
        yield
        for page, sight in sights.items():
            try:
                picture = exact(self.scene, sight, seconds, self.exposure)
                self.send(page, with_revision(picture, self.revision), f"picture {sight.view}")
            except GlintError as error:
                fail(page, "view", error)
            yield
        if self.turn is None:
            yield from self._over_a_turn(seconds, strings)

    def _over_a_turn(self, seconds: float, strings: Strings) -> Iterator[None]:
        turning = Turning(self.looker)
        while turning.step():
            if round(turning.progress * turning.count) % TOLD_EVERY == 0:
                self.now(seconds, strings, turning.progress)
            yield
        self.turn = turning.means()
        self.now(seconds, strings)


def painted(scene: Scene) -> Packet | None:
    """The paint of a scene's room, worked out once a room."""
    key = ("live paint for pages", Same(scene.room))
    return scene.cache.get(key, lambda: _Kept(paint_packet(scene, PAINTED))).packet


class _Kept:
    """A packet that a cache of arrays may hold."""

    def __init__(self, packet: Packet | None) -> None:
        self.packet = packet


def with_revision(packet: Packet, revision: int) -> Packet:
    """The packet, as of a revision of the scene."""
    return packet._replace(facts={"revision": revision, **packet.facts})
