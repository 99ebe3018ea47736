"""Who plays: the <part-list>, and the music that belongs to each entry."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from lxml.etree import _Element
from msgspec import Struct

from companion.score.reader_error import AGAIN, ReaderError
from companion.score.readers.musicxml.bars import MeasureElement
from companion.score.readers.musicxml.document import Document
from companion.score.readers.musicxml.open_bar import ReadingNotes
from companion.score.readers.musicxml.text import decimal, tidy, whole

MOST_PARTS = 500

Music = Callable[[], list[MeasureElement]]
"""Waits for the measures of one part."""


class PlayerEntry(Struct, frozen=True):
    """An entry of the part-list with its music."""

    id: str
    """The source's identifier; made unique where the file repeats one."""
    name: str
    """As printed; never empty."""
    abbreviation: str
    program: int
    """General MIDI program from 1; 0 if none is named."""
    measures: Callable[[], list[MeasureElement]]


def read_players(document: Document, slips: ReadingNotes) -> list[PlayerEntry]:
    """Everybody in the score from the top of the page."""
    root = document.root()
    music = _timewise(root) if root.tag == "score-timewise" else _partwise(document, slips)
    entries: dict[str, _Element] = {}
    for entry in root.iterfind("part-list/score-part"):
        entries.setdefault(entry.get("id") or "", entry)
    silent = [id_ for id_ in entries if id_ not in music]
    players = [
        _player(id_, entry, music.pop(id_)) for id_, entry in entries.items() if id_ in music
    ]
    for id_ in silent:
        slips.add(0, f"part “{tidy(id_, 40)}” is listed but has no music and was left out")
    for id_, measures in music.items():
        slips.add(0, f"part “{tidy(id_, 40)}” is not in the part-list")
        players.append(_player(id_, None, measures))
    return players


def _partwise(document: Document, slips: ReadingNotes) -> dict[str, Music]:
    """The measures of each part."""
    music: dict[str, Music] = {}
    for id_, part in document.parts():
        if id_ in music:
            slips.add(0, f"part “{tidy(id_, 40)}” stands twice in the file")
            id_ = _unused(id_, music)
        music[id_] = partial(_measures, part)
        if len(music) > MOST_PARTS:
            raise _too_many_parts()
    return music


def _measures(part: Callable[[], _Element]) -> list[MeasureElement]:
    return [MeasureElement(measure, measure) for measure in part().iterchildren("measure")]


def _too_many_parts() -> ReaderError:
    return ReaderError(f"it holds more than {MOST_PARTS} parts", next=AGAIN)


def _unused(id_: str, music: dict[str, Music]) -> str:
    """A name of its own for a part that shares one."""
    return next(name for n in range(2, len(music) + 3) if (name := f"{id_}-{n}") not in music)


def _timewise(root: _Element) -> dict[str, Music]:
    """The measures of each part, empty ones where a measure leaves a part out."""
    heads = list(root.iterchildren("measure"))
    found: dict[str, dict[int, _Element]] = {}
    for index, head in enumerate(heads):
        for part in head.iterchildren("part"):
            found.setdefault(part.get("id") or "", {}).setdefault(index, part)
        if len(found) > MOST_PARTS:
            raise _too_many_parts()
    return {id_: partial(_picked, heads, own) for id_, own in found.items()}


def _picked(heads: list[_Element], own: dict[int, _Element]) -> list[MeasureElement]:
    return [MeasureElement(head, own.get(index)) for index, head in enumerate(heads)]


def _player(id_: str, entry: _Element | None, measures: Music) -> PlayerEntry:
    name = abbreviation = ""
    program = 0
    if entry is not None:
        name = tidy(entry.findtext("part-name")) or _displayed(entry, "part-name-display")
        name = name or tidy(entry.findtext("score-instrument/instrument-name"))
        abbreviation = tidy(entry.findtext("part-abbreviation"))
        abbreviation = abbreviation or _displayed(entry, "part-abbreviation-display")
        program = whole(entry.findtext("midi-instrument/midi-program"), 1, 128) or 0
    clean = tidy(id_, 80) or "P"
    return PlayerEntry(clean, name or clean, abbreviation, program, measures)


_ACCIDENTALS = {"flat": "♭", "sharp": "♯", "natural": "♮"}


def _displayed(entry: _Element, tag: str) -> str:
    """A name made of text and accidentals."""
    pieces = [
        _ACCIDENTALS.get(piece.text or "", "")
        if piece.tag == "accidental-text"
        else (piece.text or "")
        for piece in entry.iterfind(f"{tag}/*")
    ]
    return tidy("".join(pieces))


# Title and composer, wherever a file keeps them.


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
    """The composer; empty if the file names none."""
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
