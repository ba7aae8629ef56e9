"""Where the light goes on average over a turn, and the light that bounces about."""

from __future__ import annotations

from glint.analysis.averaging import Averages, Values, averaged
from glint.analysis.definitions import values
from glint.analysis.figures.energy import EnergyBalance
from glint.analysis.period import Turn
from glint.lighting.energy_balance import audit
from glint.lighting.strings.balance import StringAudit, audit_strings

FEWEST, MOST = 4, 32
"""Poses; what becomes of the light changes little as a ball turns."""

TEXELS = 512
"""Width of the maps that landed light is summed on; the audit then closes to 0.1 %."""

STRING_TEXELS = 256
"""The same for strings, whose light is soft."""

SMALL = 1e-3
"""A share of the lamps' lumens below which an error does not matter: that of the audit itself."""


def energy_over(turn: Turn, tolerance: float) -> Averages:
    """Shares of all lamps' lumens by where they went, and the ambient illuminance, lx."""
    # A string's light turns with its ball: what lands hardly changes, so one pose tells.
    strings = audit_strings(turn.at(0.0), STRING_TEXELS)
    return averaged(
        lambda share: _at(turn, share, strings), FEWEST, MOST, tolerance, small=lambda name: SMALL
    )


def _at(turn: Turn, share: float, strings: list[StringAudit]) -> Values:
    scene = turn.scene
    found = EnergyBalance(scene, audit(turn.at(share), TEXELS), strings)
    return values("energy", found, [surface.name for surface in scene.room.surfaces])
