"""All measures of a scene, averaged over a turn."""

from __future__ import annotations

from dataclasses import dataclass, field

from glint.analysis.averaging import Averages, Figure, averaged
from glint.analysis.energy import energy_over
from glint.analysis.measures import See, Tell, View
from glint.analysis.period import turn_of
from glint.analysis.string_light import strings_over
from glint.errors import require_kind
from glint.kernels.arrays import Floats
from glint.scene.scene import Scene
from glint.scene.unglued import unglued

TOLERANCE = 0.01
"""How steady every mean is to be: a standard error of one per cent."""

SMALL_LIGHT = 2e-4
"""A share of the lamps' lumens below which an error does not matter."""

FEWEST, MOST = 32, 512
"""Poses."""


@dataclass(frozen=True)
class Measures:
    """What a scene's light is like over a turn.

    figures: mean, least and most by name, as glint.analysis.definitions defines them
    angles: (8,) float, degrees from the zenith as seen from the middle of the floor, and density:
    (8,) float, visible spots a square metre overhead in as many bands of one area each
    map: (h, w) float, visible spots a square metre over the chart of what is overhead
    poses, energy_poses: how many the figures took; stable: whether all came within the tolerance
    unglued: a line for each ball that cannot be glued as it is
    """

    title: str
    tiles: int
    panels: int
    grams: float
    lumens: float
    diameter: float
    figures: dict[str, Figure]
    angles: tuple[float, ...]
    density: tuple[float, ...]
    map: Floats = field(compare=False)
    poses: int
    energy_poses: int
    degrees: float
    stable: bool
    unglued: tuple[str, ...] = ()


def measure(
    scene: Scene,
    tolerance: float = TOLERANCE,
    tell: Tell = lambda done, total: None,
    see: See = lambda share, pose, found: None,
) -> Measures:
    """Every measure of a scene.

    tolerance: error that a mean may have, as a share of it. tell: called with the poses done, and
    how many there are likely to be. see: called with each pose, at its share of the period, and
    its beams; all together they are evenly spaced.
    A scene lit by strings alone has no spots, and no figures of spots.
    """
    require_kind("scene", scene, Scene, "a scene, as glint.load or glint.Scene makes it")
    turn = turn_of(scene)
    energy = energy_over(turn, tolerance)
    strings = strings_over(turn, tolerance) if scene.strings else Averages({}, 0, True)
    view = View(turn, energy.figures["ambient_lux"].mean, tolerance, tell, see)
    if scene.lamps:
        average = averaged(view.values, FEWEST, MOST, tolerance, view.passes_are_steady, _small)
        if not average.stable:
            view.passes_are_steady(average.poses)  # what is told of them, told with its error
        figures = {**average.figures, **view.whole_turn(), **energy.figures}
        steady = average.stable and view.steady
    else:
        # No spots, but whoever sees the poses sees them.
        average = averaged(view.values, FEWEST, FEWEST, tolerance)
        figures, steady = energy.figures, True
    bands = view.bands()
    return Measures(
        title=scene.title,
        tiles=view.setting.tiles,
        panels=sum(len(ball.body.panel_sides) for ball in scene.balls),
        grams=view.setting.grams,
        lumens=float(sum(lamp.lumens for lamp in scene.lamps)),
        diameter=max(2.0 * ball.body.radius for ball in scene.balls),
        figures={**figures, **strings.figures},
        angles=tuple(bands[0].tolist()),
        density=tuple(bands[1].tolist()),
        map=view.map(),
        poses=average.poses if scene.lamps else strings.poses,
        energy_poses=energy.poses,
        degrees=turn.degrees,
        stable=steady and energy.stable and strings.stable,
        unglued=unglued(scene),
    )


def _small(name: str) -> float:
    """Errors that do not matter: those of light that hardly any spot carries to a surface."""
    return SMALL_LIGHT if name.startswith("spots_on_") else 0.0
