"""Words that would run past the right margin, broken into lines or moved in.

The engraver starts a direction at its note however near that is to the margin, and lets
it run off the paper. Breaking it in the engraver's own format makes the engraver find
room for the second line; only what cannot be broken is moved to the left afterwards.
"""

from __future__ import annotations

import math
import re
import textwrap

from lxml import etree
from lxml.etree import _Element

from companion.score.extraction.engraving_text import pieces

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
