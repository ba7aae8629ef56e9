"""A lamp's candela in a direction, and the lumens that pass a window."""

from __future__ import annotations

import math

from glint.optics.compile import kernel


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
def window_lumens(lamps, lamp, apex, frame, window, count):
    """Lumens from a (mirrored) lens through a convex window, before any loss.

    The integral of I cos / d**2 over the window, by the three-point rule of degree two (Strang &
    Fix 1973) on a fan of triangles, each cut finer where the window is wide as seen from the lens.
    """
    radius = lamps.lens_radius[lamp]
    table, spread, planes = lamps.candela[lamp], lamps.spread[lamp], lamps.planes[lamp]
    total = 0.0
    for i in range(1, count - 1):
        ox, oy, oz = window[0, 0] - apex[0], window[0, 1] - apex[1], window[0, 2] - apex[2]
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
        nearest = math.sqrt(ox * ox + oy * oy + oz * oz)
        finest = 0.1 * min(max(lamps.sine_end[lamp], 0.01), 0.5)
        cuts = min(max(math.ceil(longest / (nearest * finest)), 1), 512)
        step = 1.0 / cuts
        for r in range(cuts):
            for c in range(2 * (cuts - r) - 1):
                # Small triangles of a row: upright ones and, between them, inverted ones.
                upright = c % 2 == 0
                base = c // 2
                for point in range(3):
                    if upright:
                        u = base + (2.0 / 3.0 if point == 0 else 1.0 / 6.0)
                        v = r + (2.0 / 3.0 if point == 1 else 1.0 / 6.0)
                    else:
                        u = base + 1.0 - (2.0 / 3.0 if point == 0 else 1.0 / 6.0)
                        v = r + 1.0 - (2.0 / 3.0 if point == 1 else 1.0 / 6.0)
                    u, v = u * step, v * step
                    qx, qy, qz = ox + u * ax + v * bx, oy + u * ay + v * by, oz + u * az + v * bz
                    square = qx * qx + qy * qy + qz * qz
                    distance = math.sqrt(square)
                    intensity = candela(
                        table,
                        spread,
                        planes,
                        lamps.sine_end[lamp],
                        frame[0, 0] * qx + frame[0, 1] * qy + frame[0, 2] * qz,
                        frame[1, 0] * qx + frame[1, 1] * qy + frame[1, 2] * qz,
                        frame[2, 0] * qx + frame[2, 1] * qy + frame[2, 2] * qz,
                        distance,
                        radius * radius / square,
                    )
                    total += intensity * height / (square * distance) * step * step / 6.0
    return total
