"""What fills the faces that are left over."""

from __future__ import annotations

import pytest

from glint.shape.catalogue import catalogue
from glint.shape.remedy import remedy


def test_what_can_be_built_needs_none():
    assert [entry.name for entry in catalogue() if entry.buildable and remedy(entry)] == []


@pytest.mark.parametrize("entry", [e for e in catalogue() if not e.buildable], ids=lambda e: e.name)
def test_every_other_shape_has_one(entry):
    assert '{ do = "' in remedy(entry)


def test_pentagons_are_raised():
    dodecahedron = next(entry for entry in catalogue() if entry.name == "dodecahedron")
    assert remedy(dodecahedron) == 'add { do = "raise", sides = 5 }'
