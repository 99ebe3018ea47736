"""The head of a part: its own name, the work's titles, and nothing of the others.

Titles, people and the program that wrote the source are kept as they are; the list of
parts, groups and brackets, and distances between staves go.
"""

from __future__ import annotations

from lxml.etree import _Element

from companion.part.sheet import Sheet
from companion.part.xml_elements import make
from companion.score.readers.musicxml.text import decimal, tidy

_KEPT = ("work", "movement-number", "movement-title", "identification")
_OF_THE_PAGE = ("system-layout", "staff-layout")
_OF_THE_SCORE = {"score", "full score", "partitur", "partitura", "partition"}


def build_score(sheet: Sheet) -> _Element:
    """A score-partwise document with the sheet's part alone."""
    source = sheet.root
    version = source.get("version")
    root = make("score-partwise", attributes={"version": version} if version else None)
    root.extend(child for child in list(source) if child.tag in _KEPT)
    defaults = source.find("defaults")
    if defaults is not None:
        for child in [child for child in defaults if child.tag in _OF_THE_PAGE]:
            defaults.remove(child)
        root.append(defaults)
    _forget_breaks(root)
    titles = [credit for credit in source.iterchildren("credit") if _is_title(sheet, credit)]
    root.extend(titles)
    if titles:
        root.append(_name_credit(sheet, defaults))
    root.append(make("part-list", None, (_entry(sheet),)))
    root.append(sheet.element)
    return root


def _forget_breaks(root: _Element) -> None:
    """The source may promise that its page breaks are all there; they no longer are."""
    for promise in list(root.iterfind("identification/encoding/supports")):
        parent = promise.getparent()
        if promise.get("element") == "print" and parent is not None:
            parent.remove(promise)


def _entry(sheet: Sheet) -> _Element:
    """The part's entry in the part-list, made where the source has none."""
    id_ = sheet.element.get("id")
    for entry in sheet.root.iterfind("part-list/score-part"):
        if entry.get("id") == id_:
            name = entry.find("part-name")
            if name is not None and not (name.text or "").strip():
                name.text = sheet.part.name
            return entry
    return make("score-part", None, (make("part-name", sheet.part.name),), {"id": id_ or "P1"})


def _is_title(sheet: Sheet, credit: _Element) -> bool:
    """Whether a printed text belongs on a part: words on the first page, but no page
    number, no other part's name and no "Score"."""
    if credit.get("page", "1") != "1":
        return False
    kinds = {(kind.text or "").strip() for kind in credit.iterfind("credit-type")}
    text = tidy("".join(words.text or "" for words in credit.iterfind("credit-words")))
    others = {part.name.casefold() for part in sheet.clock.score.parts}
    is_number = not any(letter.isalpha() for letter in text)
    is_named = text.casefold() in others | _OF_THE_SCORE
    return bool(text) and not is_number and not is_named and "page number" not in kinds


def _name_credit(sheet: Sheet, defaults: _Element | None) -> _Element:
    """The part's name at the top left, where players look for it. It is typed only where
    the source types its own, as files before version 3.0 know no types."""
    place = {"justify": "left", "valign": "top"} | _corner(defaults)
    credit = make("credit", attributes={"page": "1"})
    if sheet.root.find("credit/credit-type") is not None:
        credit.append(make("credit-type", "part name"))
    credit.append(make("credit-words", sheet.part.name, attributes=place))
    return credit


def _corner(defaults: _Element | None) -> dict[str, str]:
    """The top left corner inside the margins, in tenths; empty if no page is described."""
    if defaults is None:
        return {}
    page = defaults.find("page-layout")
    height = decimal(page.findtext("page-height")) if page is not None else None
    left = decimal(page.findtext("page-margins/left-margin")) if page is not None else None
    top = decimal(page.findtext("page-margins/top-margin")) if page is not None else None
    if height is None or left is None or top is None:
        return {}
    return {"default-x": f"{float(left):g}", "default-y": f"{float(height - top):g}"}
