"""The stop watch of the profile, on a clock that is wound by hand; and that it finds its stages."""

from __future__ import annotations

import threading

import pytest

from tests.bench.child import first_frames
from tests.bench.command import SCENES
from tests.bench.profile import Watched, rows_of, watched
from tests.bench.stages import ORDER, STAGES, Watch


@pytest.fixture
def clock():
    return [0.0]


@pytest.fixture
def watch(clock):
    return Watch(lambda: clock[0])


def _works(clock, seconds):
    def work():
        clock[0] += seconds

    return work


def test_what_another_stage_takes_counts_there_only(watch, clock):
    inner = watch.wrapped(_works(clock, 5.0), "trace")

    def outer():
        clock[0] += 1.0
        inner()
        clock[0] += 2.0

    watch.wrapped(outer, "map")()
    clock[0] += 100.0  # nobody's
    inner()
    assert dict(watch.seconds[True]) == {"map": 3.0, "trace": 10.0}


def test_a_stage_that_fails_ends_all_the_same(watch, clock):
    def fails():
        clock[0] += 2.0
        raise ValueError

    with watch.stage("map"):
        with pytest.raises(ValueError):
            watch.wrapped(fails, "trace")()
        clock[0] += 1.0
    assert dict(watch.seconds[True]) == {"map": 1.0, "trace": 2.0}


def test_of_a_generator_the_time_to_its_next_value_counts(watch, clock):
    closed = []

    def frames():
        try:
            for number in range(3):
                clock[0] += 2.0
                yield number
        finally:
            closed.append(True)

    each = watch.wrapped(frames, "waits")()
    for wanted in (0, 1):
        assert next(each) == wanted
        clock[0] += 10.0
    each.close()
    assert watch.seconds[True]["waits"] == 4.0 and closed == [True]


def test_threads_are_kept_apart(watch, clock):
    with watch.stage("write"):
        thread = threading.Thread(target=watch.wrapped(_works(clock, 4.0), "trace"))
        thread.start()
        thread.join()
        clock[0] += 1.0
    assert watch.seconds[True] == {"write": 5.0} and watch.seconds[False] == {"trace": 4.0}


def test_every_stage_has_a_column():
    assert set(STAGES.values()) | {"start"} == set(ORDER)


def test_rows_hold_medians_and_what_is_left():
    runs = [
        Watched(whole, 0.1, {"start": 0.5, "trace": trace}, {}, ())
        for whole, trace in ((2.0, 0.2), (3.0, 0.4), (9.0, 0.3))
    ]
    assert runs[0].rest == pytest.approx(1.2)
    (row,) = rows_of("a", runs, 1.5)
    assert row[:2] == ("a", "3,000")
    assert row[2 + ORDER.index("trace")] == "300"
    assert row[-3:] == ("100", "2,000", "1,500")
    both = rows_of("a", [run._replace(other={"map": 0.25}) for run in runs], 1.5)
    assert both[1][2 + ORDER.index("map")] == "250" and len(both[0]) == len(both[1])


def test_a_loop_is_cut_after_its_first_frames():
    closed, written = [], []

    def frames():
        try:
            yield from range(10)
        finally:
            closed.append(True)

    def write(path, frames, count, rate):
        written.append((path, list(frames()), count, rate))

    first_frames(write, 3)("a", frames, 10, 30)
    first_frames(write, 99)("b", frames, 10, 30)
    assert written == [("a", [0, 1, 2], 3, 30), ("b", list(range(10)), 10, 30)]
    assert closed == [True, True]


def test_a_real_still_passes_through_its_stages(tmp_path):
    picture = tmp_path / "a.png"
    place = SCENES / "spiked-twenty.toml"
    run = watched(1, "still", place, "--size", 64, "-o", picture)
    assert picture.is_file()
    assert {"start", "scene", "trace", "map", "tone", "write"} <= set(run.main)
    assert not run.late  # all imports of glint count as the start
    assert 0.0 <= run.rest < run.whole
