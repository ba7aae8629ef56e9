"""What has a value only over a whole turn: what adds up, and what passes over a point."""

from __future__ import annotations

import numpy as np

from glint.analysis.definitions import of_passes, of_the_turn
from glint.analysis.flicker import MOST_FLASHES, Passes
from glint.analysis.uniformity import coefficient_of_variation
from glint.kernels.arrays import Floats


@of_the_turn(
    key="unevenness_of_turn",
    name="unevenness of a turn",
    better="less",
    column=50,
    wins="spreads them most evenly over a turn",
    says="Unevenness of the mean number of visible spots that a cell sees over a turn.",
)
def unevenness_of_turn(mean_counts: Floats) -> float:
    return coefficient_of_variation(mean_counts)


@of_passes(
    key="passes_per_s",
    name="passes per second",
    unit="1/s",
    says=(
        "How often a visible spot comes over a point overhead, or lights up over it: the mean "
        "over 20,000 even points. Least and most are those of single points."
    ),
)
def passes_per_s(found: Passes) -> float:
    return float(found.rates().mean())


@of_passes(
    key="busiest_passes_per_s",
    name="passes, busiest tenth",
    unit="1/s",
    better="less",
    says="Passes per second over the tenth of the points that see most.",
)
def busiest_passes_per_s(found: Passes) -> float:
    rates = found.rates()
    return float(np.sort(rates)[-len(rates) // 10 :].mean())


@of_passes(
    key="flashing_share",
    name="above three flashes",
    unit="%",
    better="less",
    column=120,
    wins="flashes least",
    says=(
        "Share of what is overhead that more than three spots pass within some one second of "
        "the turn. WCAG 2.2 (SC 2.3.1) and ITU-R BT.1702 set three flashes in any one second "
        "as the limit for screens; every pass is taken as a flash here, whatever its size and "
        "contrast."
    ),
)
def flashing_share(found: Passes) -> float:
    return float((found.most_in(1.0) > MOST_FLASHES).mean())


@of_passes(
    key="flashing_on_average_share",
    name="above three on average",
    unit="%",
    better="less",
    says="Share of what is overhead that sees more than three passes a second all the time.",
)
def flashing_on_average_share(found: Passes) -> float:
    return float((found.rates() > MOST_FLASHES).mean())


@of_passes(
    key="swept_share",
    name="cover in a turn",
    unit="%",
    better="more",
    column=80,
    wins="sweeps most overhead in a turn",
    says=(
        "Share of what is overhead that a visible spot comes over in a turn. Spots count as "
        "discs of their area here."
    ),
)
def swept_share(found: Passes) -> float:
    return float(found.swept.mean())
