"""Where the light goes on average over a turn, and the light that bounces about."""

from __future__ import annotations

from glint.rig.audit import audit
from glint.rig.visible import ambient_of
from glint.study.average import Averages, Values, averaged
from glint.study.turn import Turn

FEWEST, MOST = 4, 32
"""Poses; what becomes of the light changes little as a ball turns."""

TEXELS = 512
"""Width of the maps that landed light is summed on; the audit then closes to 0.1 %."""

SMALL = 1e-3
"""A share of the lamps' lumens below which an error does not matter: that of the audit itself."""


def energy_over(turn: Turn, tolerance: float) -> Averages:
    """Shares of all lamps' lumens by where they went, and the ambient illuminance, lx."""
    return averaged(
        lambda share: _at(turn, share), FEWEST, MOST, tolerance, small=lambda name: SMALL
    )


def _at(turn: Turn, share: float) -> Values:
    rows = audit(turn.at(share), TEXELS)
    lumens = sum(row.lumens for row in rows)
    values = {
        "absorbed_share": sum(row.absorbed for row in rows) / lumens,
        "caught_share": sum(row.caught for row in rows) / lumens,
        "cut_off_share": sum(row.cut_off for row in rows) / lumens,
    }
    for surface in turn.scene.room.surfaces:
        name = surface.name
        values[f"spill_on_{name}_share"] = sum(row.spill[name] for row in rows) / lumens
    values["not_found_share"] = sum(abs(row.closure) * row.lumens for row in rows) / lumens
    values["ambient_lux"] = ambient_of(turn.scene, rows)
    return {name: float(value) for name, value in values.items()}
