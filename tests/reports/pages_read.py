"""Pages read as strictly as a reader of markup can."""

from __future__ import annotations

from html.parser import HTMLParser

from fleetlife.reports.markup import VOID


class Reader(HTMLParser):
    """Reads a page as strictly as a reader of markup can: every element closed, in order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.names: list[str] = []
        self.attributes: list[tuple[str, str, str | None]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes += [(tag, name, value) for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader
