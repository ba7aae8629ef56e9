"""The markup of a page that glint writes, read back."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "link", "input"}
FETCHED = ("src", "href", "xlink:href", "data", "action", "poster", "srcset")


class Markup(HTMLParser):
    """Every tag that opens, everything that could be fetched, and all text; fails where tags are
    not in balance."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.links: list[str] = []
        self.text = ""
        self._open: list[str] = []
        self.feed(page)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.links += [value for key, value in attrs if key in FETCHED and value]

    def handle_endtag(self, tag):
        assert self._open and self._open.pop() == tag, f"</{tag}> closes something else"

    def handle_data(self, data):
        self.text += data
