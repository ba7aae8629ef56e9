"""What string lights give the room, and whether it stands out beside the lamps' light."""

from __future__ import annotations

from glint.analysis.definitions import of_strings
from glint.analysis.string_light import StringLight


@of_strings(
    key="string_led_lm",
    name="strings: light of the LEDs",
    unit="lm",
    says="Lumens of all LEDs of all strings, as bright as they are; a twinkle counts by its mean.",
)
def string_led_lm(found: StringLight) -> float:
    return found.lumens


@of_strings(
    key="string_out_lm",
    name="strings: leaves the balls",
    unit="lm",
    better="more",
    says="Lumens of all strings that reach the room, straight and by way of the walls inside.",
)
def string_out_lm(found: StringLight) -> float:
    return found.straight + found.glow


@of_strings(
    key="string_straight_lm",
    name="strings: of it straight",
    unit="lm",
    says="Lumens of all strings that reach the room straight from LEDs: sharp images of them.",
)
def string_straight_lm(found: StringLight) -> float:
    return found.straight


@of_strings(
    key="string_glow_lm",
    name="strings: of it as glow",
    unit="lm",
    says="Lumens of all strings that reach the room by way of the walls inside: a soft glow.",
)
def string_glow_lm(found: StringLight) -> float:
    return found.glow


@of_strings(
    key="string_out_share",
    name="strings: share that gets out",
    unit="%",
    better="more",
    wins="lets most of its strings' light out",
    column=120,
    says="Lumens of all strings that reach the room, over the lumens of their LEDs.",
)
def string_out_share(found: StringLight) -> float:
    return (found.straight + found.glow) / found.lumens if found.lumens else 0.0


@of_strings(
    key="string_lux",
    name="strings: overhead, mean",
    unit="lx",
    better="more",
    column=130,
    says=(
        "Mean illuminance that strings give what is overhead, straight and as glow: to be held "
        "against the ambient and the lamps' light overhead."
    ),
)
def string_lux(found: StringLight) -> float:
    return found.mean(found.strings)


@of_strings(
    key="string_median_lux",
    name="strings: overhead, median",
    unit="lx",
    better="more",
    says="Illuminance from strings that half of what is overhead has at least.",
)
def string_median_lux(found: StringLight) -> float:
    return found.median(found.strings)


@of_strings(
    key="lamps_overhead_lux",
    name="lamps: overhead, mean",
    unit="lx",
    says=(
        "Mean illuminance that lamps give what is overhead, past the balls and by mirrors; given "
        "where there are strings to hold against it."
    ),
)
def lamps_overhead_lux(found: StringLight) -> float | None:
    return found.mean(found.lamps) if found.has_lamps else None


@of_strings(
    key="lamps_overhead_median_lux",
    name="lamps: overhead, median",
    unit="lx",
    says="Illuminance from lamps, the same, that half of what is overhead has at least.",
)
def lamps_overhead_median_lux(found: StringLight) -> float | None:
    return found.median(found.lamps) if found.has_lamps else None


@of_strings(
    key="string_images",
    name="strings: images that stand out",
    better="more",
    column=140,
    wins="shows the most images of LEDs",
    says=(
        "An image is the light of one LED through one opening, over one chain of mirrors if any. "
        "It stands out if its peak is at least visible_contrast times all other light at its "
        "middle overhead: the room's own, the lamps', what is thrown back, the glow and other "
        "images."
    ),
)
def string_images(found: StringLight) -> float:
    return float(found.standing_out(lamps_on=True))


@of_strings(
    key="string_images_alone",
    name="strings: images, lamps off",
    better="more",
    says="Images that stand out with the lamps off.",
)
def string_images_alone(found: StringLight) -> float:
    return float(found.standing_out(lamps_on=False))


@of_strings(
    key="string_cover_share",
    name="strings: cover",
    unit="%",
    better="more",
    says=(
        "Share of what is overhead where the strings' light is at least visible_contrast times "
        "all other light."
    ),
)
def string_cover_share(found: StringLight) -> float:
    return found.cover(lamps_on=True)


@of_strings(
    key="string_cover_alone_share",
    name="strings: cover, lamps off",
    unit="%",
    better="more",
    says="The same with the lamps off.",
)
def string_cover_alone_share(found: StringLight) -> float:
    return found.cover(lamps_on=False)
