"""What the benchmark says of a process that it starts is true of that process alone."""

from __future__ import annotations

import numpy as np
import pytest

from tests.bench.command import run, run_bare


def test_the_peak_of_memory_is_not_that_of_the_benchmark(tmp_path):
    mine = np.ones(75_000_000)  # 0.6 GB, and really touched
    found = run_bare(16, tmp_path / "a.png")
    assert 0.03e9 < found.memory < 0.5e9 < mine.nbytes
    assert found.seconds > 0.0 and found.worked > 0.0
    assert (tmp_path / "a.png").is_file()


def test_a_command_that_fails_is_told_with_what_it_said():
    with pytest.raises(RuntimeError, match=r"ended with 2: glint: .*nowhere\.toml"):
        run("check", "nowhere.toml")
