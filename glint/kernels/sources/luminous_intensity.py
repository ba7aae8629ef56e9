"""A lamp's candela in a direction, and the lumens that pass a window."""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel


@kernel
def looked_up(table, spread, planes, sine_end, x, y, sine, disc):
    """`candela`, by the sine of half the angle to the axis; x, y: any vector across it."""
    columns = table.shape[1]
    place = sine / sine_end * (columns - 1)
    # Written so that what is not a number is no light, and never a place in the table.
    if not 0.0 <= place < columns - 1:
        return 0.0
    column = int(place)
    t = place - column
    row = 0
    if planes > 1:
        azimuth = math.atan2(y, x)
        if azimuth < 0.0:
            azimuth += 2.0 * math.pi
        turned = azimuth / (2.0 * math.pi) * (planes - 1)
        row = min(int(turned), planes - 2)
        u = turned - row
        low = (1.0 - u) * table[row, column] + u * table[row + 1, column]
        high = (1.0 - u) * table[row, column + 1] + u * table[row + 1, column + 1]
        low_spread = (1.0 - u) * spread[row, column] + u * spread[row + 1, column]
        high_spread = (1.0 - u) * spread[row, column + 1] + u * spread[row + 1, column + 1]
    else:
        low, high = table[0, column], table[0, column + 1]
        low_spread, high_spread = spread[0, column], spread[0, column + 1]
    value = (1.0 - t) * low + t * high + disc * ((1.0 - t) * low_spread + t * high_spread)
    return max(value, 0.0)


@kernel
def candela(table, spread, planes, sine_end, x, y, z, distance, disc):
    """Candela of a lamp towards (x, y, z) in its own (possibly mirrored) frame.

    table, spread: (c, g) float, planes and sine_end: the lamp's own rows of Lamps (see there).
    distance: length of (x, y, z), m. disc: the square of the angular radius, rad**2, of the part
    of the lens that is looked at; the table `spread` turns it into the mean over that part.
    Linear between columns even in sin(gamma / 2), which needs no arc cosine.
    """
    if z <= 0.0:
        return 0.0
    sine = math.sqrt((x * x + y * y) / (2.0 * distance * (distance + z)))
    return looked_up(table, spread, planes, sine_end, x, y, sine, disc)


@kernel
def _density(table, spread, planes, sine_end, square_radius, frame, x, y, z):
    """Candela over the third power of the distance, towards (x, y, z) from the middle of a lens."""
    square = x * x + y * y + z * z
    distance = math.sqrt(square)
    intensity = candela(
        table,
        spread,
        planes,
        sine_end,
        frame[0, 0] * x + frame[0, 1] * y + frame[0, 2] * z,
        frame[1, 0] * x + frame[1, 1] * y + frame[1, 2] * z,
        frame[2, 0] * x + frame[2, 1] * y + frame[2, 2] * z,
        distance,
        square_radius / square,
    )
    return intensity / (square * distance)


MOST_CUTS = 512

GAUSS = 0.5 - 0.5 / math.sqrt(3.0)
"""Where Gauss's rule of two points has its first one."""


@kernel
def window_lumens(lamps, lamp, apex, frame, window, count):
    """Lumens from a (mirrored) lens through a convex window, before any loss.

    The integral of I cos / d**2 over the window, on a fan of triangles: by the three-point rule of
    degree two (Strang & Fix 1973) where a triangle is small as seen from the lens. Else it is cut
    along its length, and every strip across as finely as its width wants: a sliver wants few cells.
    """
    radius, sine_end = lamps.lens_radius[lamp], lamps.sine_end[lamp]
    table, spread, planes = lamps.candela[lamp], lamps.spread[lamp], lamps.planes[lamp]
    ox, oy, oz = window[0, 0] - apex[0], window[0, 1] - apex[1], window[0, 2] - apex[2]
    nearest = math.sqrt(ox * ox + oy * oy + oz * oz)
    coarsest = nearest * 0.1 * min(max(sine_end, 0.01), 0.5)
    total = 0.0
    for i in range(1, count - 1):
        ax, ay, az = (
            window[i, 0] - window[0, 0],
            window[i, 1] - window[0, 1],
            window[i, 2] - window[0, 2],
        )
        bx, by, bz = (
            window[i + 1, 0] - window[0, 0],
            window[i + 1, 1] - window[0, 1],
            window[i + 1, 2] - window[0, 2],
        )
        nx, ny, nz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        height = abs(nx * ox + ny * oy + nz * oz)
        longest = math.sqrt(max(ax * ax + ay * ay + az * az, bx * bx + by * by + bz * bz))
        part = 0.0
        if longest <= coarsest:
            for point in range(3):
                u = 2.0 / 3.0 if point == 0 else 1.0 / 6.0
                v = 2.0 / 3.0 if point == 1 else 1.0 / 6.0
                x, y, z = ox + u * ax + v * bx, oy + u * ay + v * by, oz + u * az + v * bz
                part += _density(table, spread, planes, sine_end, radius * radius, frame, x, y, z)
            total += part * height / 6.0
            continue
        width = math.sqrt((bx - ax) ** 2 + (by - ay) ** 2 + (bz - az) ** 2)
        strips = min(math.ceil(longest / coarsest), MOST_CUTS)
        for strip in range(strips):
            wide = width * (strip + 1) / (strips * coarsest)
            cells = min(max(math.ceil(wide), 1), MOST_CUTS)
            for cell in range(cells):
                for point in range(4):
                    along = strip + (GAUSS if point < 2 else 1.0 - GAUSS)
                    across = cell + (GAUSS if point % 2 == 0 else 1.0 - GAUSS)
                    s, t = along / strips, across / cells
                    u, v = s * (1.0 - t), s * t
                    x, y, z = ox + u * ax + v * bx, oy + u * ay + v * by, oz + u * az + v * bz
                    density = _density(
                        table, spread, planes, sine_end, radius * radius, frame, x, y, z
                    )
                    part += s * density / cells
        total += part * height / (4.0 * strips)
    return total
