"""Messages with arrays: there and back, and what is none."""

from __future__ import annotations

import json

import numpy as np
import pytest

from glint.live.wire import HEAD, Kind, WireError, pack, unpack

ARRAYS = {
    "floats": np.arange(6, dtype=np.float32).reshape(2, 3),
    "halves": np.array([[0.5, 60000.0]], np.float16),
    "wholes": np.array([-1, 2**31 - 1], np.int32),
    "bytes": np.array([1, 2, 255], np.uint8),
    "none": np.zeros((0, 4, 4), np.float32),
}


def test_a_packet_comes_back_whole() -> None:
    data = pack(Kind.POSE, {"seconds": 1.5, "name": "Äpfel"}, ARRAYS, seq=2**32 - 1)
    found = unpack(data)
    assert (found.kind, found.seq) == (Kind.POSE, 2**32 - 1)
    assert found.facts == {"seconds": 1.5, "name": "Äpfel"}
    for name, array in ARRAYS.items():
        assert found.arrays[name].dtype == array.dtype and found.arrays[name].shape == array.shape
        np.testing.assert_array_equal(found.arrays[name], array)


def test_arrays_begin_where_a_page_can_view_them() -> None:
    data = pack(Kind.SCENE, {"odd": "x"}, ARRAYS)
    length = HEAD.unpack_from(data)[4]
    assert length % 4 == 0
    text = data[HEAD.size : HEAD.size + length].decode()
    offsets = [place[2] for place in json.loads(text)["arrays"].values()]
    assert all(offset % 4 == 0 for offset in offsets) and len(set(offsets[:4])) == 4


def test_other_types_and_numbers_that_json_lacks_are_not_sent() -> None:
    with pytest.raises(ValueError, match="float64"):
        pack(Kind.POSE, {}, {"far": np.zeros(2)})
    with pytest.raises(ValueError, match="JSON compliant"):
        pack(Kind.POSE, {"seconds": float("nan")}, {})


def test_torn_bytes_are_no_message() -> None:
    data = pack(Kind.POSE, {"seconds": 1.5}, ARRAYS)
    for end in range(0, len(data) - 4, 7):
        with pytest.raises(WireError):
            unpack(data[:end])
    for place, byte in ((0, b"x"), (4, b"\x02"), (6, b"\x63"), (16, b"\xff")):
        with pytest.raises(WireError):
            unpack(data[:place] + byte + data[place + 1 :])
