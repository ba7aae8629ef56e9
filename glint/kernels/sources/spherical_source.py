"""The disc that a light shows to whoever looks at it.

A lens is a disc in its own plane, seen askew from beside its axis. A small sphere that is alike
bright all over shows a disc of its radius that faces the looker, wherever he stands. Sight goes by
projection onto the lens plane, where a sphere's disc is an ellipse, longer away from the axis;
drawn in by the cosine of the angle to the axis it is a disc again, and so is all that is drawn in
with it. How far a looker is off, over the light's radius, is taken for large.
"""

from __future__ import annotations

import math

from glint.kernels.runtime.jit import kernel


@kernel
def drawn_in(sphere, px, py, pz):
    """How a looker at (px, py, pz) of the lens frame draws the lens plane in: 0 for a lens.

    sphere: 1.0 for a sphere, 0.0 for a lens. With m the answer and p = (px, py), a point s of the
    plane goes to s - m (s . p) p.
    """
    distance = math.sqrt(px * px + py * py + pz * pz)
    return sphere / (distance * (distance + pz))


@kernel
def drawn_out(sphere, px, py, pz):
    """The way back: with m the answer, s goes to s + m (s . p) p. pz must be above zero."""
    distance = math.sqrt(px * px + py * py + pz * pz)
    return sphere / (pz * (distance + pz))
