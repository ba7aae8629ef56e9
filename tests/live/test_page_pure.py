"""Parts of the page that need no browser: tests of their own, run by Node."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.browser import REQUIRED

HERE = Path(__file__).parent


def test_the_page_s_own_tests_pass() -> None:
    node = shutil.which("node")
    if node is None:
        (pytest.fail if REQUIRED else pytest.skip)("node is not installed")
    found = subprocess.run(
        [node, "--test", "--test-reporter=tap", HERE / "page" / "pure.test.mjs"],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert found.returncode == 0, found.stdout[-4000:]
    passed = re.search(r"^# pass (\d+)", found.stdout, re.MULTILINE)
    assert passed is not None and int(passed[1]) >= 10
