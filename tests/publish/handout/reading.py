"""A page taken apart with the standard library's reader."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "br", "link", "img", "input", "hr"}


@dataclass
class Read:
    """What a page holds."""

    headings: list[tuple[int, str]] = field(default_factory=list)
    elements: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    text: str = ""
    left_open: list[str] = field(default_factory=list)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.read = Read()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.read.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.read.left_open.append(tag)
        if tag[0] == "h" and tag[1:].isdigit():
            self.read.headings.append((int(tag[1]), ""))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.read.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.read.left_open.pop() == tag

    def handle_data(self, data: str) -> None:
        here = self.read.left_open[-1] if self.read.left_open else ""
        if here[:1] == "h" and here[1:].isdigit():
            level, text = self.read.headings[-1]
            self.read.headings[-1] = (level, text + data)
        if here not in ("style", "script"):
            self.read.text += data


def read(html: str) -> Read:
    """Take a page apart; elements that are not closed in order fail."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert not reader.read.left_open
    return reader.read
