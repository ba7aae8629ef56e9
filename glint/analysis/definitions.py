"""Every measure in words: its name, unit, what it means, and which way is better."""

from __future__ import annotations

from typing import Literal, NamedTuple

Better = Literal["more", "less", ""]


class Definition(NamedTuple):
    """One measure. better: "more" or "less" for an even and lively pattern, "" where it depends."""

    key: str
    heading: str
    unit: str
    better: Better
    text: str


_SPOT = (
    "A spot is the light of one lamp over one chain of tiles. It is visible if its peak "
    "illuminance is at least visible_contrast times the ambient illuminance (what the room is "
    "given, what strings spread overhead, and what fabric and floor throw back) and its middle "
    "is not in an opening. Across a rim it belongs where its middle is. Overhead is the dome, the "
    "bell's roof or the hall's ceiling."
)

DEFINITIONS: tuple[Definition, ...] = (
    Definition("spots", "visible spots", "", "more", _SPOT),
    Definition("spots_per_tile", "spots per tile", "", "more", "Visible spots over all tiles."),
    Definition(
        "spots_per_gram",
        "spots per gram",
        "1/g",
        "more",
        "Visible spots over the weight of the whole balls: tiles, panels and glue, as [workshop] "
        "has them, without cord, hook and motor.",
    ),
    Definition(
        "spots_per_lumen",
        "spots per lumen",
        "1/lm",
        "more",
        "Visible spots over the lumens of all lamps, whether they meet a ball or not.",
    ),
    Definition(
        "density_per_m2",
        "spots per m² overhead",
        "1/m²",
        "more",
        "Visible spots overhead, over the area there.",
    ),
    Definition(
        "density_per_sr",
        "spots per steradian",
        "1/sr",
        "more",
        "Visible spots overhead, over the solid angle of what is overhead as seen from the eye.",
    ),
    Definition(
        "unevenness",
        "unevenness",
        "",
        "less",
        "Coefficient of variation (standard deviation over mean) of the visible spots in 200 cells "
        "overhead: rings about the zenith, or rows of a ceiling, cut into cells of one area. "
        "Points strewn at random give 1 over the root of the mean number in a cell, points in "
        "perfect order near 0.",
    ),
    Definition(
        "unevenness_of_turn",
        "unevenness of a turn",
        "",
        "less",
        "Unevenness of the mean number of visible spots that a cell sees over a turn.",
    ),
    Definition(
        "gap_deg",
        "largest dark gap",
        "°",
        "less",
        "Angular radius, as seen from the middle of the floor, of the widest circle that holds no "
        "middle of a visible spot and has its own middle overhead (spherical Voronoi diagram).",
    ),
    Definition(
        "cover_share",
        "cover at an instant",
        "%",
        "more",
        "Share of what is overhead where the mirrors' light is at least visible_contrast times the "
        "ambient illuminance.",
    ),
    Definition(
        "swept_share",
        "cover in a turn",
        "%",
        "more",
        "Share of what is overhead that a visible spot comes over in a turn. Spots count as discs "
        "of their area here.",
    ),
    Definition("size_p10_m", "size, 10 %", "m", "", "Tenth percentile of the sizes."),
    Definition(
        "size_median_m",
        "size, median",
        "m",
        "",
        "Diameter of the disc of a spot's area; the area is that of the second moments of "
        "illuminance (ISO 11146-1), which for an even disc is the disc's.",
    ),
    Definition("size_p90_m", "size, 90 %", "m", "", "Ninetieth percentile of the sizes."),
    Definition(
        "brightness_p10_lux", "brightness, 10 %", "lx", "", "Tenth percentile of the peaks."
    ),
    Definition(
        "brightness_median_lux",
        "brightness, median",
        "lx",
        "more",
        "Peak illuminance of the visible spots, without the ambient.",
    ),
    Definition(
        "brightness_p90_lux", "brightness, 90 %", "lx", "", "Ninetieth percentile of the peaks."
    ),
    Definition("speed_p10_m_s", "speed, 10 %", "m/s", "", "Tenth percentile of the speeds."),
    Definition(
        "speed_median_m_s",
        "speed, median",
        "m/s",
        "",
        "Speed of a visible spot's middle along the surface: the exact derivative, from the "
        "turning of its tiles.",
    ),
    Definition("speed_p90_m_s", "speed, 90 %", "m/s", "", "Ninetieth percentile of the speeds."),
    Definition(
        "passes_per_s",
        "passes per second",
        "1/s",
        "",
        "How often a visible spot comes over a point overhead, or lights up over it: the mean over "
        "20,000 even points. Least and most are those of single points.",
    ),
    Definition(
        "busiest_passes_per_s",
        "passes, busiest tenth",
        "1/s",
        "less",
        "Passes per second over the tenth of the points that see most.",
    ),
    Definition(
        "flashing_share",
        "above three flashes",
        "%",
        "less",
        "Share of what is overhead that more than three spots pass within some one second of the "
        "turn. WCAG 2.2 (SC 2.3.1) and ITU-R BT.1702 set three flashes in any one second as the "
        "limit for screens; every pass is taken as a flash here, whatever its size and contrast.",
    ),
    Definition(
        "flashing_on_average_share",
        "above three on average",
        "%",
        "less",
        "Share of what is overhead that sees more than three passes a second all the time.",
    ),
    Definition(
        "absorbed_share", "lost in mirrors", "%", "", "Share of the lamps' lumens that mirrors eat."
    ),
    Definition(
        "caught_share",
        "caught by panels",
        "%",
        "less",
        "Share of the lamps' lumens that falls on panels and on backs of tiles.",
    ),
    Definition(
        "cut_off_share",
        "cut off",
        "%",
        "",
        "Share of the lamps' lumens in chains that are not followed to their end.",
    ),
    Definition(
        "not_found_share",
        "not found again",
        "%",
        "",
        "What is missing when all shares are added up, each lamp by itself: the energy audit's "
        "own error.",
    ),
    Definition(
        "ambient_lux",
        "ambient",
        "lx",
        "",
        "Illuminance that is always there: the room's own, the mean of what fabric and floor throw "
        "back (integrating sphere, Goebel 1967), and the mean that strings spread overhead.",
    ),
    Definition(
        "string_out_lm",
        "strings: leaves the balls",
        "lm",
        "more",
        "Lumens of all strings that reach the room, straight and by way of the walls inside.",
    ),
    Definition(
        "string_glow_lm",
        "strings: of it as glow",
        "lm",
        "",
        "Lumens of all strings that reach the room by way of the walls inside: a soft glow.",
    ),
    Definition(
        "string_lux",
        "strings: on what is overhead",
        "lx",
        "more",
        "Mean illuminance that strings give what is overhead.",
    ),
)

BY_KEY = {definition.key: definition for definition in DEFINITIONS}


def definition_of(key: str) -> Definition:
    """The definition of a figure; where the light of one surface is meant, it is worded here."""
    if key in BY_KEY:
        return BY_KEY[key]
    for start, heading, text in (
        ("spots_on_", "mirrored onto the", "Share of the lamps' lumens that mirrors send to the"),
        ("spill_on_", "past the balls, onto the", "Share of the lamps' lumens that goes to the"),
    ):
        if key.startswith(start) and key.endswith("_share"):
            name = key[len(start) : -len("_share")].replace("_", " ")
            tail = " without meeting a ball" if start == "spill_on_" else ""
            return Definition(key, f"{heading} {name}", "%", "", f"{text} {name}{tail}.")
    raise KeyError(key)


def shown(key: str, value: float) -> float:
    """A value in the unit that it is shown in: shares become per cent."""
    return 100.0 * value if definition_of(key).unit == "%" else value
