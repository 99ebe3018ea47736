"""Where each piece of text stands on an engraved page.

The engraver writes text as nested spans that follow one another, its style partly in a
style sheet by class. Reading it any other way loses the bold of tempos and rehearsal
letters and puts the number of a metronome mark onto its note.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby

from lxml.etree import _Element

from companion.score.extraction.engraving_metrics import (
    MUSIC_FONTS,
    is_sign,
    signs_width,
    text_width,
)

_BOLD = frozenset({"ending", "fing", "reh", "tempo"})
_ITALIC = frozenset({"dir", "dynam", "mNum"})
"""Classes the engraver's style sheet sets bold and italic."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Letters of one kind that stand together, in the units of the page."""

    text: str
    """What it says; no-break spaces are plain ones here."""
    x: float
    """Its left edge."""
    y: float
    """Its base line, downward."""
    size: float
    """An em."""
    is_bold: bool
    """Whether it is set bold."""
    is_italic: bool
    """Whether it is set italic."""
    is_music: bool
    """Whether it is signs of the music font."""

    @property
    def right(self) -> float:
        """Its right edge."""
        if self.is_music:
            return self.x + self.size * signs_width(self.text)
        return self.x + self.size * text_width(self.text, self.is_bold, self.is_italic)


def pieces(text: _Element) -> list[Piece]:
    """The pieces of a <text>, from left to right and from line to line."""
    placed: list[Piece] = []
    line: list[Piece] = []
    x, y, anchor = _number(text, "x"), _number(text, "y"), text.get("text-anchor", "start")
    for span in text.iter():
        if span is not text and (span.get("x") or span.get("y")):
            placed += _anchored(line, x, anchor)
            line = []
            x, y = _number(span, "x", x), _number(span, "y", y)
            anchor = span.get("text-anchor", anchor)
        size = _size(span)
        if span.text and span.text.strip("\n\t ") and size > 0:
            line += _of_span(span, y, size)
    return placed + _anchored(line, x, anchor)


def letters(piece: Piece) -> list[Piece]:
    """A piece letter by letter."""
    return _anchored(
        [replace(piece, text=letter, x=0.0) for letter in piece.text], piece.x, "start"
    )


def _of_span(span: _Element, y: float, size: float) -> list[Piece]:
    kinds = [group.get("class", "") for group in span.iterancestors()]
    is_bold = _is(span, "font-weight", "bold", kinds, _BOLD)
    is_italic = _is(span, "font-style", "italic", kinds, _ITALIC)
    if _said(span, "font-family") in MUSIC_FONTS:
        return [Piece(span.text or "", 0.0, y, size, is_bold, is_italic, is_music=True)]
    words = (span.text or "").replace("\N{NO-BREAK SPACE}", " ")
    make = partial(Piece, x=0.0, y=y, size=size, is_bold=is_bold, is_italic=is_italic)
    return [
        make(text="".join(letters), is_music=signs)
        for signs, letters in groupby(words, key=is_sign)
    ]


def _anchored(line: list[Piece], x: float, anchor: str) -> list[Piece]:
    """One line's pieces in their places, one after the other."""
    start = x - sum(piece.right for piece in line) * {"middle": 0.5, "end": 1.0}.get(anchor, 0.0)
    placed = []
    for piece in line:
        placed.append(replace(piece, x=start))
        start = placed[-1].right
    return placed


def _is(
    span: _Element, attribute: str, value: str, kinds: list[str], styled: frozenset[str]
) -> bool:
    """What the nearest attribute says, else the style sheet."""
    if said := _said(span, attribute):
        return said == value
    return any(styled.intersection(kind.split()) for kind in kinds)


def _size(span: _Element) -> float:
    return float(_said(span, "font-size").removesuffix("px") or 0)


def _said(span: _Element, attribute: str) -> str:
    """An attribute of the span or of the nearest element around it that has one."""
    around = (element.get(attribute) for element in (span, *span.iterancestors()))
    return next((said for said in around if said), "")


def _number(element: _Element, name: str, default: float = 0.0) -> float:
    return float(element.get(name, default))
