"""The page of the scene file has every key, and its examples are scenes."""

from __future__ import annotations

import re

import pytest

from glint.schema.read import parse, scene_of
from tests.docs import scene_file

KNOWN = dict(scene_file.tables())
TEXT = scene_file.WORDS.read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
BALL = {"shape": {"base": "icosahedron"}}


@pytest.mark.parametrize("name", KNOWN)
def test_every_key_says_what_it_means(name):
    silent = [key for key, (_, field) in KNOWN[name].items() if not field.title]
    assert not silent


def test_the_page_has_every_table_once():
    assert sorted(re.findall(r"<!-- keys: (.*) -->", TEXT)) == sorted(KNOWN)


def test_every_table_has_an_example():
    sections = re.split(r"^##+ ", TEXT, flags=re.MULTILINE)
    bare = [part.splitlines()[0] for part in sections if "<!--" in part and "```toml" not in part]
    assert not bare


@pytest.mark.parametrize("example", EXAMPLES)
def test_an_example_is_a_scene(example):
    found = parse(example.encode(), "example.toml")
    scene_of({"room": {"radius_m": 4.0}, "ball": [BALL], **found})
