"""Where the light goes on average over a turn, and the light that bounces about."""

from __future__ import annotations

from glint.analysis.averaging import Averages, Values, averaged
from glint.analysis.period import Turn
from glint.lighting.energy_balance import audit
from glint.lighting.strings.balance import StringAudit, audit_strings
from glint.lighting.visibility import ambient_of, on_surface
from glint.photometry.colour import LUMINANCE

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
    rows = audit(turn.at(share), TEXELS)
    lumens = sum(row.lumens for row in rows)
    values = {
        "absorbed_share": sum(row.absorbed for row in rows) / lumens,
        "caught_share": sum(row.caught for row in rows) / lumens,
        "cut_off_share": sum(row.cut_off for row in rows) / lumens,
    }
    for surface in turn.scene.room.surfaces:
        name = surface.name
        values[f"spill_on_{name}_share"] = sum(row.direct[name] for row in rows) / lumens
    values["not_found_share"] = sum(abs(row.closure) * row.lumens for row in rows) / lumens
    values["ambient_lux"] = ambient_of(turn.scene, rows, strings)
    if strings:
        above = turn.scene.room.surfaces[0]
        values["string_out_lm"] = sum(row.out for row in strings)
        values["string_glow_lm"] = sum(sum(row.glow.values()) for row in strings)
        values["string_lux"] = float(on_surface(strings, above.name) @ LUMINANCE) / above.area
    return {name: float(value) for name, value in values.items()}
