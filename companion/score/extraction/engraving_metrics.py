"""How wide engraved text is, and the shapes of its music glyphs, from the engraver's own tables.

The engraver sets text without a font at hand: it reckons with tables of widths in its
package. Whoever draws or measures its pages has to use the same tables, or words run
into the notes beside them.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import verovio
from lxml import etree
from lxml.etree import _Element

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
