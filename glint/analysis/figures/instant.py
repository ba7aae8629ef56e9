"""What has a value at one instant: how many spots, how they lie, how large, bright and fast."""

from __future__ import annotations

import math

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
def spots_per_lumen(now: Instant) -> float:
    return len(now.visible.area) / now.setting.lumens


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


@at_an_instant(
    key="size_p10_m",
    name="size, 10 %",
    unit="m",
    says="Tenth percentile of the sizes.",
)
def size_p10(now: Instant) -> float:
    return percentile(now.visible.diameter, 10.0)


@at_an_instant(
    key="size_median_m",
    name="size, median",
    unit="m",
    column=90,
    says=(
        "Diameter of the disc of a spot's area; the area is that of the second moments of "
        "illuminance (ISO 11146-1), which for an even disc is the disc's."
    ),
)
def size_median(now: Instant) -> float:
    return percentile(now.visible.diameter, 50.0)


@at_an_instant(
    key="size_p90_m",
    name="size, 90 %",
    unit="m",
    says="Ninetieth percentile of the sizes.",
)
def size_p90(now: Instant) -> float:
    return percentile(now.visible.diameter, 90.0)


@at_an_instant(
    key="brightness_p10_lux",
    name="brightness, 10 %",
    unit="lx",
    says="Tenth percentile of the peaks.",
)
def brightness_p10(now: Instant) -> float:
    return percentile(now.visible.peak, 10.0)


@at_an_instant(
    key="brightness_median_lux",
    name="brightness, median",
    unit="lx",
    better="more",
    column=100,
    wins="has the brightest spots",
    says="Peak illuminance of the visible spots, without the ambient.",
)
def brightness_median(now: Instant) -> float:
    return percentile(now.visible.peak, 50.0)


@at_an_instant(
    key="brightness_p90_lux",
    name="brightness, 90 %",
    unit="lx",
    says="Ninetieth percentile of the peaks.",
)
def brightness_p90(now: Instant) -> float:
    return percentile(now.visible.peak, 90.0)


@at_an_instant(
    key="speed_p10_m_s",
    name="speed, 10 %",
    unit="m/s",
    says="Tenth percentile of the speeds.",
)
def speed_p10(now: Instant) -> float:
    return percentile(now.visible.speed, 10.0)


@at_an_instant(
    key="speed_median_m_s",
    name="speed, median",
    unit="m/s",
    column=110,
    says=(
        "Speed of a visible spot's middle along the surface: the exact derivative, from the "
        "turning of its tiles."
    ),
)
def speed_median(now: Instant) -> float:
    return percentile(now.visible.speed, 50.0)


@at_an_instant(
    key="speed_p90_m_s",
    name="speed, 90 %",
    unit="m/s",
    says="Ninetieth percentile of the speeds.",
)
def speed_p90(now: Instant) -> float:
    return percentile(now.visible.speed, 90.0)


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
