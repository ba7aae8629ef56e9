"""A body's inside as an integrating cavity: what its diffuse walls send out of the openings."""

from __future__ import annotations

import math


def glow_share(reflectance: float, open_share: float) -> float:
    """Share of the light that first falls on the walls which leaves through the openings.

    Goebel (1967), Applied Optics 6, 125-128, for a sphere: light reflected once, rho, is spread
    evenly over all of the inside; of it the share f of the area that is open leaves, and
    rho (1 - f) is reflected again, so all together rho f / (1 - rho (1 - f)). reflectance: rho,
    below 1; open_share: f, 0 to 1.
    """
    return reflectance * open_share / (1.0 - reflectance * (1.0 - open_share))


def radiance(lumens: float, reflectance: float, open_area: float, wall_area: float) -> float:
    """Luminance of walls and openings, cd/m**2, where so many lumens first fall on the walls.

    Areas in m**2. The flux of an even luminance L through an area A is pi L A.
    """
    area = open_area + wall_area
    bounced = reflectance / (1.0 - reflectance * wall_area / area)
    return lumens * bounced / (math.pi * area)
