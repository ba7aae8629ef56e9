"""Where the light goes, and the light that bounces about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from glint.analysis.definitions import Definition, of_each_surface, of_energy
from glint.lighting.energy_balance import Audit
from glint.lighting.strings.balance import StringAudit
from glint.lighting.visibility import ambient_of
from glint.scene.scene import Scene


@dataclass(frozen=True)
class EnergyBalance:
    """What became of each lamp's light in one pose, and of each string's."""

    scene: Scene
    rows: list[Audit]
    strings: list[StringAudit]

    def share(self, of: Callable[[Audit], float]) -> float | None:
        """What `of` gives of each lamp, over the lumens of all; None without lamps."""
        lumens = sum(row.lumens for row in self.rows)
        return sum(of(row) for row in self.rows) / lumens if self.rows else None


@of_energy(
    key="absorbed_share",
    name="lost in mirrors",
    unit="%",
    says="Share of the lamps' lumens that mirrors eat.",
)
def absorbed(found: EnergyBalance) -> float | None:
    return found.share(lambda row: row.absorbed)


@of_energy(
    key="caught_share",
    name="caught by panels",
    unit="%",
    better="less",
    says="Share of the lamps' lumens that falls on panels and on backs of tiles.",
)
def caught(found: EnergyBalance) -> float | None:
    return found.share(lambda row: row.caught)


@of_energy(
    key="cut_off_share",
    name="cut off",
    unit="%",
    says="Share of the lamps' lumens in chains that are not followed to their end.",
)
def cut_off(found: EnergyBalance) -> float | None:
    return found.share(lambda row: row.cut_off)


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
def left(found: EnergyBalance) -> float | None:
    return found.share(lambda row: row.left)


@of_each_surface("energy", "spill_on_{}_share")
def spill_on(surface: str) -> Definition:
    name = surface.replace("_", " ")
    return Definition(
        key=f"spill_on_{surface}_share",
        name=f"past the balls, onto the {name}",
        unit="%",
        says=f"Share of the lamps' lumens that goes to the {name} without meeting a ball.",
        of=lambda found: found.share(lambda row: row.direct[surface]),
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
def not_found(found: EnergyBalance) -> float | None:
    return found.share(lambda row: abs(row.closure) * row.lumens)


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
