"""Edges that steps have divided.

Splitting one face puts corners on edges that its neighbours still have whole. They are kept here,
so that the neighbours find them when they are split in their turn, and an opening keeps a rim that
joins up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

Pair = tuple[int, int]


@dataclass(frozen=True, eq=False)
class Divided:
    """The divided edges of a body.

    lines: for each, its corners by how far along they are, as a share of the whole. stretches:
    where parts of lines lie that are, or were, an edge of some face: the line's number and the
    shares at the lower and the higher corner number.
    """

    lines: tuple[Mapping[Fraction, int], ...] = ()
    stretches: Mapping[Pair, tuple[int, Fraction, Fraction]] = field(default_factory=dict)

    def whole_ring(self, face: tuple[int, ...]) -> tuple[int, ...]:
        """A face's corners and all others that lie on its edges, in their order."""
        if not self.stretches:
            return face
        ring: list[int] = []
        for start, end in zip(face, (*face[1:], face[0]), strict=True):
            ring.append(start)
            found = self.stretches.get((min(start, end), max(start, end)))
            if found is not None:
                number, low, high = found
                if start > end:
                    low, high = high, low
                line = self.lines[number]
                if len(line) > 2:
                    least, most = min(low, high), max(low, high)
                    between = sorted(share for share in line if least < share < most)
                    ring += [line[share] for share in (between if low < high else between[::-1])]
        return tuple(ring)


class Divider:
    """Divides edges, and makes each new corner once only."""

    def __init__(self, vertices: np.ndarray, divided: Divided) -> None:
        self.points: list[np.ndarray] = list(vertices)
        self._lines = [dict(line) for line in divided.lines]
        self._stretches = dict(divided.stretches)

    def add(self, point: np.ndarray) -> int:
        """A new corner (3,); its number."""
        self.points.append(point)
        return len(self.points) - 1

    def along(self, start: int, end: int, parts: int) -> list[int]:
        """The corners from `start` to `end` that divide the edge into equal parts, both ends too.

        Corners that are there already are taken; what else lies between stays on the line.
        """
        pair = (min(start, end), max(start, end))
        if pair not in self._stretches:
            self._lines.append({Fraction(0): pair[0], Fraction(1): pair[1]})
            self._stretches[pair] = (len(self._lines) - 1, Fraction(0), Fraction(1))
        number, low, high = self._stretches[pair]
        line = self._lines[number]
        first, last = (low, high) if start < end else (high, low)
        shares = [first + (last - first) * Fraction(k, parts) for k in range(parts + 1)]
        origin, way = self.points[line[Fraction(0)]], self.points[line[Fraction(1)]]
        for share in shares:
            if share not in line:
                line[share] = self.add(origin + float(share) * (way - origin))
        corners = [line[share] for share in shares]
        for i in range(parts):
            one, other = corners[i], corners[i + 1]
            ends = (shares[i], shares[i + 1]) if one < other else (shares[i + 1], shares[i])
            self._stretches.setdefault((min(one, other), max(one, other)), (number, *ends))
        return corners

    @property
    def vertices(self) -> np.ndarray:
        """All corners, old ones first, (v, 3) float."""
        return np.array(self.points)

    @property
    def divided(self) -> Divided:
        """The divided edges as they are now."""
        return Divided(tuple(self._lines), self._stretches)
