"""What glass and glue ask for at the bench and on the way, as the sheet prints it.

Common practice, under the same deference to local codes as the cautions.
"""

from __future__ import annotations

from glint.build.cautions import Caution

HANDLING = (
    Caution(
        "Joining",
        "Press on the panel, never on the mirror: a tile that is pushed shears off its glue or "
        "cracks. Hold a joint closed with tape across the panels, not across the glass.",
    ),
    Caution(
        "Carrying",
        "Take a finished body from below, with both hands on panels or edges, or by its cord, "
        "never by a tip or a tile. Carry it in a box, hung up or bedded on soft foam, with nothing "
        "against the mirrors and no weight on a tip. Wear gloves: they save fingers and glass.",
    ),
    Caution(
        "Cleaning before the show",
        "Dust and finger marks come off with a dry microfibre cloth. Glue or tape residue comes "
        "off with isopropyl alcohol: a few drops on the cloth, never on the glass, where it creeps "
        "behind the mirror. Work in moving air, away from flames, sparks and hot lamps, and try a "
        "spare tile first. Let all of it dry before a lamp is lit.",
    ),
    Caution(
        "Before each hanging",
        "Look along cord, knots, bar and safety line, and tap each tile: one that ticks is loose.",
    ),
)
