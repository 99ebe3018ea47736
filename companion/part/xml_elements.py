"""Small MusicXML elements, made in one line each, and copies fit for another part."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy

from lxml import etree
from lxml.etree import _Element

from companion.score.model import Part

_OF_ITS_PLACE = ("id", "default-x", "default-y", "relative-x", "relative-y", "system")
"""Attributes that only make sense where an element stood before."""


def make(
    tag: str,
    text: object = None,
    children: tuple[_Element, ...] = (),
    attributes: Mapping[str, str] | None = None,
) -> _Element:
    """An element with text or children."""
    element = etree.Element(tag, dict(attributes or {}))
    if text is not None:
        element.text = str(text)
    element.extend(children)
    return element


def transplanted(element: _Element) -> _Element:
    """A copy without anything that belongs to the page or the part it came from."""
    copy = deepcopy(element)
    copy.tail = None
    for inner in copy.iter():
        for name in _OF_ITS_PLACE:
            inner.attrib.pop(name, "")
    return copy


def words_above(text: str, staves: int, *, is_small: bool = False) -> _Element:
    """A <direction> with words above the staff."""
    style = {"font-style": "italic"} | ({"font-size": "8"} if is_small else {})
    words = make("words", text, attributes=style)
    direction = make(
        "direction", None, (make("direction-type", None, (words,)),), {"placement": "above"}
    )
    if staves > 1:
        direction.append(make("staff", 1))
    return direction


def short_name(part: Part) -> str:
    """A part's abbreviation, unless that is a mere letter or numeral (`T`, `II`)."""
    letters = [letter for letter in part.abbreviation if letter.isalpha()]
    says_something = len(letters) > 1 and not set(letters) <= set("IVX")
    return part.abbreviation if says_something else part.name
