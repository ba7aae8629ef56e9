"""What has a value at one instant: how many spots, how they lie, how large, bright and fast."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from glint.analysis.averaging import percentile
from glint.analysis.dark_gap import largest_gap
from glint.analysis.definitions import Definition, at_an_instant, of_each_surface
from glint.analysis.instant import Instant
from glint.analysis.uniformity import coefficient_of_variation
from glint.kernels.illuminance.probe import lux_at
from glint.lighting.prepared import lighting_of


@at_an_instant(
    key="spots",
    name="visible spots",
    better="more",
    column=10,
    wins="throws the most visible spots",
    says=(
        "A spot is the light of one lamp over one chain of tiles. It is visible if its peak "
        "illuminance is at least visible_contrast times the ambient illuminance (what the "
        "room is given, what strings spread overhead, and what fabric and floor throw back) "
        "and its middle is not in an opening. Across a rim it belongs where its middle is. "
        "Overhead is the dome, the bell's roof or the hall's ceiling."
    ),
)
def spots(now: Instant) -> float:
    return float(len(now.visible.area))


@at_an_instant(
    key="spots_per_tile",
    name="spots per tile",
    better="more",
    column=20,
    wins="makes the most of each tile",
    said=" a tile",
    says="Visible spots over all tiles.",
)
def spots_per_tile(now: Instant) -> float:
    return len(now.visible.area) / now.setting.tiles


@at_an_instant(
    key="spots_per_gram",
    name="spots per gram",
    unit="1/g",
    better="more",
    column=30,
    wins="makes the most of its weight",
    said=" a gram",
    says=(
        "Visible spots over the weight of the whole balls: tiles, panels and glue, as "
        "[workshop] has them, without cord, hook and motor."
    ),
)
def spots_per_gram(now: Instant) -> float:
    return len(now.visible.area) / now.setting.grams


@at_an_instant(
    key="spots_per_lumen",
    name="spots per lumen",
    unit="1/lm",
    better="more",
    says="Visible spots over the lumens of all lamps, whether they meet a ball or not.",
)
def spots_per_lumen(now: Instant) -> float | None:
    return len(now.visible.area) / now.setting.lumens if now.setting.lumens else None


@at_an_instant(
    key="density_per_m2",
    name="spots per m² overhead",
    unit="1/m²",
    better="more",
    says="Visible spots overhead, over the area there.",
)
def density_per_m2(now: Instant) -> float:
    return len(now.above) / now.setting.roof.area


@at_an_instant(
    key="density_per_sr",
    name="spots per steradian",
    unit="1/sr",
    better="more",
    says=("Visible spots overhead, over the solid angle of what is overhead as seen from the eye."),
)
def density_per_sr(now: Instant) -> float:
    return len(now.above) / now.setting.solid_angle


@at_an_instant(
    key="unevenness",
    name="unevenness",
    better="less",
    column=40,
    wins="spreads its spots most evenly at an instant",
    says=(
        "Coefficient of variation (standard deviation over mean) of the visible spots in 200 "
        "cells overhead: rings about the zenith, or rows of a ceiling, cut into cells of one "
        "area. Points strewn at random give 1 over the root of the mean number in a cell, "
        "points in perfect order near 0."
    ),
)
def unevenness(now: Instant) -> float:
    return coefficient_of_variation(now.counts)


@at_an_instant(
    key="gap_deg",
    name="largest dark gap",
    unit="°",
    better="less",
    column=60,
    wins="leaves the smallest dark gap",
    said="°",
    says=(
        "Angular radius, as seen from the middle of the floor, of the widest circle that "
        "holds no middle of a visible spot and has its own middle overhead (spherical Voronoi "
        "diagram)."
    ),
)
def gap_deg(now: Instant) -> float:
    away = now.above / np.linalg.norm(now.above, axis=1, keepdims=True)
    return math.degrees(largest_gap(away, now.setting.sky)[0])


@at_an_instant(
    key="cover_share",
    name="cover at an instant",
    unit="%",
    better="more",
    column=70,
    wins="lights most overhead at an instant",
    says=(
        "Share of what is overhead where the mirrors' light is at least visible_contrast "
        "times the ambient illuminance."
    ),
)
def cover_share(now: Instant) -> float:
    lit = lux_at(now.beams, lighting_of(now.pose.scene).lamp_arrays, now.setting.points)
    return float(((lit >= now.setting.least_lux) & ~now.setting.bare).mean())


def _spread(quantity: str, unit: tuple[str, str], plural: str, of: str, **median: Any) -> None:
    """Register the tenth, fiftieth and ninetieth percentile of a quantity of the visible spots.

    unit: in the key and as shown. of: the column of `Spots`. median: more words of the median.
    """

    def percentile_at(share: float) -> Callable[[Instant], float]:
        return lambda now: percentile(getattr(now.visible, of), share)

    suffix, shown = unit
    tenth = {"says": f"Tenth percentile of the {plural}."}
    ninetieth = {"says": f"Ninetieth percentile of the {plural}."}
    for part, name, share, words in (
        ("p10", "10 %", 10.0, tenth),
        ("median", "median", 50.0, median),
        ("p90", "90 %", 90.0, ninetieth),
    ):
        key = f"{quantity}_{part}_{suffix}"
        at_an_instant(key=key, name=f"{quantity}, {name}", unit=shown, **words)(
            percentile_at(share)
        )


_spread(
    "size",
    ("m", "m"),
    "sizes",
    "diameter",
    column=90,
    says=(
        "Diameter of the disc of a spot's area; the area is that of the second moments of "
        "illuminance (ISO 11146-1), which for an even disc is the disc's."
    ),
)
_spread(
    "brightness",
    ("lux", "lx"),
    "peaks",
    "peak",
    better="more",
    column=100,
    wins="has the brightest spots",
    says="Peak illuminance of the visible spots, without the ambient.",
)
_spread(
    "speed",
    ("m_s", "m/s"),
    "speeds",
    "speed",
    column=110,
    says=(
        "Speed of a visible spot's middle along the surface: the exact derivative, from the "
        "turning of its tiles."
    ),
)


@of_each_surface("instant", "spots_on_{}_share")
def spots_on(surface: str) -> Definition:
    name = surface.replace("_", " ")
    return Definition(
        key=f"spots_on_{surface}_share",
        name=f"mirrored onto the {name}",
        unit="%",
        says=f"Share of the lamps' lumens that mirrors send to the {name}.",
        of=lambda now: now.share_on(surface),
    )
