"""Every measure: its name, unit, what it means, which way is better, and how it is computed.

A measure is registered by a decorator on the function that computes it, from what its group sees:

    at_an_instant     an `Instant`; averaged over the turn
    of_passes         the `Passes` of a whole turn
    of_the_turn       the mean counts of spots in cells over a turn
    of_energy         an `EnergyBalance`; averaged over the turn
    of_strings        a `StringLight`; averaged over the turn, where a scene has strings

Files with measures stand in `glint.analysis.figures`. Tables, JSON, CSV, report and verdict follow.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

Better = Literal["more", "less", ""]


@dataclass(frozen=True)
class Definition:
    """One measure.

    of: computes it, in its own unit (shares from 0 to 1); None where a scene has no such thing.
    better: "more" or "less" for an even and lively pattern, "" where it depends.
    column: where it stands among the measures that a terminal has room for, from small to large;
    None to leave it to the full table. wins: what is said of the best, for the verdict; said: its
    unit there, where that of the table does not read well.
    """

    key: str
    name: str
    says: str
    of: Callable[[Any], float | None]
    unit: str = ""
    better: Better = ""
    column: int | None = None
    wins: str = ""
    said: str | None = None


@dataclass(frozen=True)
class Family:
    """The same measure of each surface of the room. key: as "spots_on_{}_share"."""

    key: str
    of: Callable[[str], Definition]

    def surface_in(self, key: str) -> str | None:
        """The surface that a key is about; None if it is of no such key."""
        start, end = self.key.split("{}")
        fits = key.startswith(start) and key.endswith(end) and len(key) > len(start) + len(end)
        return key[len(start) : -len(end)] if fits else None


GROUPS: dict[str, list[Definition | Family]] = {
    "instant": [],
    "turn": [],
    "passes": [],
    "energy": [],
    "strings": [],
}
"""All measures by what they are computed from, in the order in which they are shown."""


def measure(
    group: str, **words: Any
) -> Callable[[Callable[[Any], float | None]], Callable[[Any], float | None]]:
    """Register the function as the measure with these words, see `Definition`."""

    def add(of: Callable[[Any], float | None]) -> Callable[[Any], float | None]:
        GROUPS[group].append(Definition(of=of, **words))
        return of

    return add


at_an_instant = partial(measure, "instant")
of_the_turn = partial(measure, "turn")
of_passes = partial(measure, "passes")
of_energy = partial(measure, "energy")
of_strings = partial(measure, "strings")


def of_each_surface(
    group: str, key: str
) -> Callable[[Callable[[str], Definition]], Callable[[str], Definition]]:
    """Register a function that gives the definition of a measure for the name of a surface."""

    def add(of: Callable[[str], Definition]) -> Callable[[str], Definition]:
        GROUPS[group].append(Family(key, of))
        return of

    return add


def values(group: str, seen: Any, surfaces: Iterable[str] = ()) -> dict[str, float]:
    """All measures of a group that have a value. seen: what the group computes them from."""
    found: dict[str, float] = {}
    for one in GROUPS[group]:
        each = [one] if isinstance(one, Definition) else [one.of(name) for name in surfaces]
        for definition in each:
            value = definition.of(seen)
            if value is not None:
                found[definition.key] = float(value)
    return found


def definitions() -> Iterator[Definition]:
    """All measures but those of single surfaces."""
    for group in GROUPS.values():
        yield from (one for one in group if isinstance(one, Definition))


def shown_columns() -> list[str]:
    """Keys of the measures that a terminal and the report's first table have room for."""
    chosen = [(one.column, one.key) for one in definitions() if one.column is not None]
    return [key for _, key in sorted(chosen)]


def definition_of(key: str) -> Definition:
    """The definition of a figure. Raises KeyError."""
    for one in (one for group in GROUPS.values() for one in group):
        if isinstance(one, Definition):
            if one.key == key:
                return one
        elif (surface := one.surface_in(key)) is not None:
            return one.of(surface)
    raise KeyError(key)


def shown(key: str, value: float) -> float:
    """A value in the unit that it is shown in: shares become per cent."""
    return 100.0 * value if definition_of(key).unit == "%" else value
