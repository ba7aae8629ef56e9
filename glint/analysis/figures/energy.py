"""Where the light goes, and the light that bounces about."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glint.analysis.definitions import Definition, of_each_surface, of_energy
from glint.lighting.energy_balance import Audit
from glint.lighting.strings.balance import StringAudit
from glint.lighting.visibility import ambient_of, on_surface
from glint.photometry.colour import LUMINANCE
from glint.scene.scene import Scene


@dataclass(frozen=True)
class EnergyBalance:
    """What became of each lamp's light in one pose, and of each string's."""

    scene: Scene
    rows: list[Audit]
    strings: list[StringAudit]

    @cached_property
    def lumens(self) -> float:
        """Of all lamps."""
        return sum(row.lumens for row in self.rows)


@of_energy(
    key="absorbed_share",
    name="lost in mirrors",
    unit="%",
    says="Share of the lamps' lumens that mirrors eat.",
)
def absorbed(found: EnergyBalance) -> float:
    return sum(row.absorbed for row in found.rows) / found.lumens


@of_energy(
    key="caught_share",
    name="caught by panels",
    unit="%",
    better="less",
    says="Share of the lamps' lumens that falls on panels and on backs of tiles.",
)
def caught(found: EnergyBalance) -> float:
    return sum(row.caught for row in found.rows) / found.lumens


@of_energy(
    key="cut_off_share",
    name="cut off",
    unit="%",
    says="Share of the lamps' lumens in chains that are not followed to their end.",
)
def cut_off(found: EnergyBalance) -> float:
    return sum(row.cut_off for row in found.rows) / found.lumens


@of_energy(
    key="left_share",
    name="out by openings",
    unit="%",
    better="less",
    says=(
        "Share of the lamps' lumens that leaves the room: by open triangles of a frame, and by "
        "surfaces that are open."
    ),
)
def left(found: EnergyBalance) -> float:
    return sum(row.left for row in found.rows) / found.lumens


@of_each_surface("energy", "spill_on_{}_share")
def spill_on(surface: str) -> Definition:
    name = surface.replace("_", " ")
    return Definition(
        key=f"spill_on_{surface}_share",
        name=f"past the balls, onto the {name}",
        unit="%",
        says=f"Share of the lamps' lumens that goes to the {name} without meeting a ball.",
        of=lambda found: sum(row.direct[surface] for row in found.rows) / found.lumens,
    )


@of_energy(
    key="not_found_share",
    name="not found again",
    unit="%",
    says=(
        "What is missing when all shares are added up, each lamp by itself: the energy "
        "audit's own error."
    ),
)
def not_found(found: EnergyBalance) -> float:
    return sum(abs(row.closure) * row.lumens for row in found.rows) / found.lumens


@of_energy(
    key="ambient_lux",
    name="ambient",
    unit="lx",
    says=(
        "Illuminance that is always there: the room's own, the mean of what fabric and floor "
        "throw back (integrating sphere, Goebel 1967), and the mean that strings spread "
        "overhead."
    ),
)
def ambient_lux(found: EnergyBalance) -> float:
    return ambient_of(found.scene, found.rows, found.strings)


@of_energy(
    key="string_out_lm",
    name="strings: leaves the balls",
    unit="lm",
    better="more",
    says="Lumens of all strings that reach the room, straight and by way of the walls inside.",
)
def string_out_lm(found: EnergyBalance) -> float | None:
    return sum(row.out for row in found.strings) if found.strings else None


@of_energy(
    key="string_glow_lm",
    name="strings: of it as glow",
    unit="lm",
    says="Lumens of all strings that reach the room by way of the walls inside: a soft glow.",
)
def string_glow_lm(found: EnergyBalance) -> float | None:
    if not found.strings:
        return None
    return sum(sum(row.glow.values()) for row in found.strings)


@of_energy(
    key="string_lux",
    name="strings: on what is overhead",
    unit="lx",
    better="more",
    says="Mean illuminance that strings give what is overhead.",
)
def string_lux(found: EnergyBalance) -> float | None:
    if not found.strings:
        return None
    above = found.scene.room.overhead
    spread = np.sum([on_surface(found.strings, name) for name in above.names], axis=0)
    return float(spread @ LUMINANCE) / above.closed_area
