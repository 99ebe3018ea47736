"""Where each piece of text stands on an engraved page.

The engraver writes text as nested spans that follow one another, its style partly in a
style sheet by class. Reading it any other way loses the bold of tempos and rehearsal
letters and puts the number of a metronome mark onto its note.
"""

from __future__ import annotations

import math
import re
import textwrap
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import groupby
from pathlib import Path

import verovio
from lxml import etree
from lxml.etree import _Element

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


# How wide engraved text is, and the shapes of its music glyphs, from the engraver's own tables.


MUSIC_FONTS = ("Leipzig", "Bravura")
"""The engraver's music font and the one it takes missing glyphs from."""

_FIRST_SIGN = 0x2669
"""Musical signs start here in Unicode: quarter note, eighth note, … flat, natural, sharp."""
_STYLES = {
    (False, False): "Times",
    (True, False): "Times-bold",
    (False, True): "Times-italic",
    (True, True): "Times-bold-italic",
}


def text_width(text: str, is_bold: bool, is_italic: bool) -> float:
    """The width of text in ems; a letter outside the table counts one."""
    table = _widths(f"text/{_STYLES[is_bold, is_italic]}.xml")
    return sum(table.get(ord(letter), 1.0) for letter in text)


def signs_width(signs: str) -> float:
    """The width of signs of the music font in ems."""
    return sum(_widths(f"{music_font(sign)}.xml").get(ord(sign), 0.0) for sign in signs)


@cache
def is_sign(letter: str) -> bool:
    """Whether a letter amid text is taken from a music font."""
    return ord(letter) >= _FIRST_SIGN and any(
        _file(family, letter).is_file() for family in MUSIC_FONTS
    )


@cache
def music_font(sign: str) -> str:
    """The first music font that has a sign."""
    return next((family for family in MUSIC_FONTS if _file(family, sign).is_file()), MUSIC_FONTS[0])


@cache
def glyph(sign: str) -> _Element:
    """The shape of a musical sign as SVG, a thousand units to the em; none for an unknown one."""
    file = _file(music_font(sign), sign)
    return etree.parse(file).getroot() if file.is_file() else etree.Element("g")


@cache
def _widths(table: str) -> dict[int, float]:
    """Code point → advance in ems; the ink's width where no advance is given."""
    root = etree.parse(_tables() / table).getroot()
    em = float(root.get("units-per-em", "1000"))
    return {
        int(entry.get("c", "0"), 16): float(entry.get("h-a-x") or entry.get("w") or 0) / em
        for entry in root.iter("g")
    }


def _file(family: str, sign: str) -> Path:
    return _tables() / family / f"{ord(sign):04X}.xml"


@cache
def _tables() -> Path:
    return Path(verovio.toolkit().getResourcePath())


# Words that would run past the right margin, broken into lines or moved in.


_MEI = "{http://www.music-encoding.org/ns/mei}"
_ID = "{http://www.w3.org/XML/1998/namespace}id"
_WORDS = ("dir", "tempo")


def overhanging(pages: list[str]) -> dict[str, float]:
    """Identifier of each direction past the right margin → the share of it that fits."""
    found = {}
    for page in pages:
        root = etree.fromstring(page.encode())
        limit = _limit(root)
        for group, text in _directions(root):
            left, right = _edges(text)
            if right > limit:
                found[group.get("id", "")] = max(0.0, (limit - left) / (right - left))
    return found


def broken(mei: str, shares: dict[str, float]) -> str:
    """The engraver's document with those directions in lines that fit, where words allow."""
    root = etree.fromstring(mei.encode())
    for words in root.iter(*(f"{_MEI}{name}" for name in _WORDS)):
        share = shares.get(words.get(_ID, ""))
        texts = [inner for inner in words.iter() if (inner.text or "").strip()]
        if share is not None and len(texts) == 1:
            _break(texts[0], share)
    return etree.tostring(root, encoding="unicode")


def moved_in(page: str) -> str:
    """The page with every direction that still runs past the margin ending at it."""
    root = etree.fromstring(page.encode())
    limit, is_changed = _limit(root), False
    for _, text in _directions(root):
        _, right = _edges(text)
        if right > limit:
            for span in text.iter():
                if span.get("x"):
                    span.set("x", f"{math.floor(float(span.get('x', 0)) + limit - right)}")
            is_changed = True
    return etree.tostring(root, encoding="unicode") if is_changed else page


def _break(text: _Element, share: float) -> None:
    whole = (text.text or "").strip().replace(" = ", "\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}")
    lines = textwrap.wrap(whole, max(1, int(len(whole) * share)), break_long_words=False)
    text.text = lines[0]
    for at, line in enumerate(lines[1:]):
        turn = etree.Element(f"{_MEI}lb")
        turn.tail = line
        text.insert(at, turn)


def _directions(root: _Element) -> list[tuple[_Element, _Element]]:
    """Each direction's group with its text."""
    return [
        (group, text)
        for group in root.iter("{*}g")
        if set(_WORDS).intersection(group.get("class", "").split())
        for text in group.iterchildren("{*}text")
        if pieces(text)
    ]


def _edges(text: _Element) -> tuple[float, float]:
    found = pieces(text)
    return min(piece.x for piece in found), max(piece.right for piece in found)


def _limit(root: _Element) -> float:
    """The right margin in the page's own units."""
    page = root.find("{*}svg")
    frame = page.find("{*}g") if page is not None else None
    if page is None or frame is None:
        return float("inf")
    shift = re.match(r"translate\(([\d.]+)", frame.get("transform", ""))
    return float(page.get("viewBox", "0 0 0 0").split()[2]) - 2 * float(shift[1] if shift else 0)
