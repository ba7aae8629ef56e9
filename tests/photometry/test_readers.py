"""Lamp files are read by what their ending says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from glint.errors import SceneError
from glint.photometry.readers import PhotometryError, read_photometry, reader
from glint.photometry.readers.lm63 import read_lm63
from glint.schema.read import scene_of
from tests.photometry.files import lamp_file


def scene_with(name: str):
    room, ball = {"radius_m": 4.0}, {"shape": {"base": "cube"}}
    return scene_of({"room": room, "ball": [ball], "lamp": [{"file": name}]})


def test_a_further_reader_needs_no_other_change(monkeypatch):
    monkeypatch.setattr(reader, "_READERS", dict(reader._READERS))
    monkeypatch.setattr(reader, "_NAMES", dict(reader._NAMES))
    with pytest.raises(SceneError):
        scene_with("quince.half")

    @reader.lamp_reader(".half", "half of an LM-63 file")
    def read_half(data, where):
        whole = read_lm63(data, where)
        return replace(whole, candela=0.5 * whole.candela)

    assert scene_with("quince.half").lamp[0].file == "quince.half"
    data = lamp_file().encode()
    half, whole = read_photometry(data, "Quince.HALF"), read_photometry(data, "quince.ies")
    assert half.lumens() == pytest.approx(0.5 * whole.lumens(), rel=1e-12) and whole.lumens() > 0.0
    assert reader.formats() == "IES LM-63, .ies or half of an LM-63 file, .half"


def test_an_unknown_ending_is_told_with_the_known_ones():
    with pytest.raises(PhotometryError, match=r'quince\.xyz: found the ending "\.xyz".*"\.ies"'):
        read_photometry(b"", "quince.xyz")
