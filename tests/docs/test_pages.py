"""Pages made from the code are those in the repository."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.docs.pages import PAGES

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "shared" / "docs"
DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *FOLDER.glob("*.md")]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_current(name):
    current = (FOLDER / name).read_text(encoding="utf-8")
    assert current == PAGES[name](), f"{name} is old: run python -m tests.docs"


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_every_link_of_a_document_leads_somewhere(document):
    text = document.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text):
        assert (document.parent / target).exists(), target


def test_every_scene_that_the_readme_names_exists():
    for name in re.findall(r"scenes/[a-z-]+\.toml", (ROOT / "README.md").read_text("utf-8")):
        assert (ROOT / name).exists(), name


@pytest.mark.parametrize("name, most", [("README.md", 9216), ("DEVELOPERS.md", 8192)])
def test_the_first_pages_stay_short(name, most):
    assert len((ROOT / name).read_bytes()) <= most
