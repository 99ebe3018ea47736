"""Title and composer, wherever a file keeps them.

Programs disagree on where the title goes: the work, the movement, or only the
text printed on the first page.
"""

from __future__ import annotations

from lxml.etree import _Element

from companion.score.readers.musicxml.text import decimal, tidy


def read_title(root: _Element, name: str) -> str:
    """The title; the file's own name where there is none. Never empty."""
    return (
        tidy(root.findtext("work/work-title"))
        or tidy(root.findtext("movement-title"))
        or _credited(root, "title")
        or _largest(root)
        or tidy(name)
        or "Untitled"
    )


def read_composer(root: _Element) -> str:
    """The composer; empty where the file names none."""
    for creator in root.iterfind("identification/creator"):
        if creator.get("type") == "composer" and tidy(creator.text):
            return tidy(creator.text)
    return _credited(root, "composer")


def _first_page(root: _Element) -> list[_Element]:
    return [credit for credit in root.iterchildren("credit") if credit.get("page", "1") == "1"]


def _credited(root: _Element, kind: str) -> str:
    """Text of the first page that says it is a title, or a composer."""
    for credit in _first_page(root):
        if any((said.text or "").strip() == kind for said in credit.iterchildren("credit-type")):
            text = _text(credit)
            if text:
                return text
    return ""


def _largest(root: _Element) -> str:
    """The text in the largest type on the first page, which is nearly always the title."""
    best, best_size = "", decimal("0")
    for credit in _first_page(root):
        first = credit.find("credit-words")
        size = None if first is None else decimal(first.get("font-size"))
        if size is not None and best_size is not None and size > best_size and _text(credit):
            best, best_size = _text(credit), size
    return best


def _text(credit: _Element) -> str:
    return tidy("".join(words.text or "" for words in credit.iterchildren("credit-words")))
