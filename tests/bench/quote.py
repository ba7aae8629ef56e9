"""A document's part between `<!-- NAME -->` and `<!-- /NAME -->`, put anew."""

from __future__ import annotations

from pathlib import Path

from glint.files.atomic import whole_file


def quoted(text: str, name: str, new: str) -> str:
    """The text with `new` in the place of that name; raises ValueError unless it has just one."""
    begin, end = f"<!-- {name} -->", f"<!-- /{name} -->"
    if text.count(begin) != 1 or text.count(end) != 1 or text.index(begin) > text.index(end):
        raise ValueError(f"there must be one {begin}, and one {end} after it")
    before, _, rest = text.partition(begin)
    return f"{before}{begin}\n{new}\n{end}{rest.partition(end)[2]}"


def quote(path: Path, name: str, new: str) -> None:
    """Put `new` into a file, whole or not at all."""
    text = quoted(path.read_text(), name, new)
    with whole_file(path, force=True) as place:
        place.write_text(text)
