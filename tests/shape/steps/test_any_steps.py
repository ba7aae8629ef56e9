"""Whatever the steps, a body comes out that can be glued together, or one plain line."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from glint.errors import ShapeError
from glint.shape.bases import SOLIDS, solid
from glint.shape.buildable import require_buildable
from glint.shape.polyhedron import edges, panels, volume
from glint.shape.steps import MOST_PANELS, Step, apply_steps, step_of

BASES = st.sampled_from([(name, None) for name in SOLIDS]) | st.tuples(
    st.sampled_from(["prism", "antiprism"]), st.integers(3, 12)
)
COUNTS = st.none() | st.none() | st.integers(1, 6)
STEPS = st.one_of(
    st.builds(step_of, do=st.just("raise"), sides=st.integers(3, 5), count=COUNTS),
    st.builds(
        step_of,
        do=st.just("split"),
        sides=st.integers(3, 4),
        count=COUNTS,
        frequency=st.integers(2, 4),
    ),
    st.builds(
        step_of,
        do=st.just("spike"),
        sides=st.just(3),
        count=COUNTS,
        levels=st.integers(1, 2),
    ),
    st.builds(
        step_of,
        do=st.just("cap"),
        sides=st.sampled_from([6, 8, 10]),
        count=COUNTS,
        turned=st.booleans(),
    ),
    st.builds(step_of, do=st.just("open"), sides=st.integers(3, 12), count=COUNTS),
)


@settings(max_examples=400, deadline=None)
@given(BASES, st.lists(STEPS, min_size=1, max_size=6))
def test_a_good_body_or_a_plain_line(base: tuple[str, int | None], steps: list[Step]):
    plain = solid(*base)
    try:
        body = apply_steps(plain, steps)
    except ShapeError as error:
        assert error.key.startswith("shape.steps ")
        assert str(error).isprintable()
        return
    # Finished or not, it closes, and nothing that was built on it took volume away.
    _, faces = edges(body)
    assert (faces >= 0).any(axis=1).all()
    assert ((faces < 0).any(axis=1)).any() == (len(body.open_faces) > 0)
    assert volume(body) >= volume(plain) * (1 - 1e-9)
    try:
        require_buildable(body)
    except ShapeError as error:
        assert error.key == "shape.steps"
        assert str(error).isprintable()
        return
    shapes = panels(body)
    assert set(shapes.sides.tolist()) <= {3, 4} and len(shapes.sides) <= MOST_PANELS
    lengths = np.linalg.norm(shapes.corners - np.roll(shapes.corners, 1, axis=1), axis=2)
    lengths = lengths[lengths > 0]
    assert np.ptp(lengths) <= 1e-9 * lengths.mean()
