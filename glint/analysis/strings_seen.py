"""Whether the light of strings will be seen, with the lamps on and with the lamps off, in words."""

from __future__ import annotations

from glint.analysis.measure import Measures

SEEN, HARDLY = 0.1, 0.01
"""Shares of what is overhead over which light must stand out to be seen, and to be hardly seen."""


def seen_in_words(measures: Measures) -> str:
    """A sentence or two on the strings of a scene; "" without strings."""
    figures = measures.figures
    if "string_lux" not in figures:
        return ""
    means = {key: figure.mean for key, figure in figures.items()}
    off = _seen(means["string_cover_alone_share"], means["string_images_alone"])
    light = (
        f"{_lux(means['string_lux'])} on average overhead, "
        f"{100.0 * means['string_out_share']:.2g} % of what its LEDs give"
    )
    if "lamps_overhead_lux" not in figures:
        return f"There is no lamp: the string light {off} ({light})."
    on = _seen(means["string_cover_share"], means["string_images"])
    beside = (
        f"the lamps give {_lux(means['lamps_overhead_lux'])} there, "
        f"the ambient is {_lux(means['ambient_lux'])}"
    )
    return (
        f"With the lamps on, the string light {on} ({light}; {beside}). "
        f"With the lamps off, it {off}."
    )


def _seen(cover: float, images: float) -> str:
    """What becomes of light that stands out over such a share, with so many images."""
    if cover < HARDLY and images < 1.0:
        return "will not be seen: it stands out nowhere overhead"
    verb = "will be seen" if cover >= SEEN else "will hardly be seen"
    count = f"{images:.0f} images of LEDs" if images >= 1.5 else "1 image of an LED"
    shown = f", with {count}" if images >= 0.5 else ", as a glow without images of its LEDs"
    return f"{verb}: it stands out over {_part(cover)} of what is overhead{shown}"


def _part(share: float) -> str:
    return "all" if share > 0.995 else f"{100.0 * share:.2g} %"


def _lux(value: float) -> str:
    return "less than 0.0001 lx" if 0.0 < value < 1e-4 else f"{value:.2g} lx"
