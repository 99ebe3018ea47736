"""<direction> and <sound>: words, dynamics, jumps, tempos between the notes.

What is printed and what it does are two things in MusicXML: a segno sign does
nothing by itself, a `sound` prints nothing. Both are told, each once.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from lxml.etree import _Element

from companion.score.direction_words import JUMP_WORDS
from companion.score.model import Mark, TempoMark
from companion.score.readers.musicxml.notations import dynamic
from companion.score.readers.musicxml.open_bar import OpenBar
from companion.score.readers.musicxml.text import decimal, staff_number, tidy, whole
from companion.score.readers.musicxml.ticks import QUARTERS

_WORDS_THAT_ACT = (
    (re.compile(r"\bpizz", re.I), "pluck", "pizz"),
    (re.compile(r"\barco\b", re.I), "pluck", "arco"),
    *((pattern, kind, "") for pattern, kind in JUMP_WORDS),
)
"""Words that tell a player to do something (common practice, no source)."""

_TEXTS: dict[str, Callable[[_Element], tuple[str, str]]] = {
    "dynamics": lambda element: ("dynamic", dynamic(element)),
    "wedge": lambda element: ("wedge", tidy(element.get("type"), 20)),
    "rehearsal": lambda element: ("rehearsal", tidy(element.text)),
}

_JUMPS = ("segno", "coda", "fine", "tocoda", "dacapo", "dalsegno")


def read_direction(bar: OpenBar, element: _Element) -> None:
    """Add everything a <direction> prints and does."""
    offset, staff, sound = 0, 1, None
    is_heard_there = False
    printed: list[_Element] = []
    for child in element:
        tag = child.tag
        if tag == "direction-type":
            printed.append(child)
        elif tag == "offset":
            offset = bar.offset(child.text)
            is_heard_there = child.get("sound") == "yes"
        elif tag == "staff":
            staff = staff_number(child.text)
        elif tag == "sound":
            sound = child
    seen = _place(bar, offset)
    heard = seen if is_heard_there else bar.at
    first = len(bar.marks)
    for each in printed:
        _read_printed(bar, each, staff, seen, heard)
    if sound is not None:
        _act(bar, sound, heard, staff, first)


def read_sound(bar: OpenBar, element: _Element) -> None:
    """Add what a <sound> standing by itself does."""
    onset = _place(bar, bar.offset(element.findtext("offset")))
    _act(bar, element, onset, 1, len(bar.marks))


def _place(bar: OpenBar, offset: int) -> int:
    """The cursor moved by an offset, kept inside what a bar can hold."""
    place = max(0, bar.at + offset)
    return place if place <= max(bar.filled, bar.part.bar_ticks, bar.at) else bar.at


def _read_printed(bar: OpenBar, printed: _Element, staff: int, seen: int, heard: int) -> None:
    words: list[str] = []
    for child in printed:
        tag = child.tag
        if tag == "words":
            words.append(child.text or "")
        elif tag in _TEXTS:
            bar.marks.append(Mark(seen, *_TEXTS[tag](child), staff))
        elif tag == "metronome":
            read_metronome(bar, child, heard)
        elif tag in ("segno", "coda"):
            bar.marks.append(Mark(heard, tag, "", staff))
    if text := tidy(_joined(words)):
        _words(bar, text, seen, staff)


def _joined(words: list[str]) -> str:
    """Pieces of one text in different type; a space only where letters would collide."""
    text = ""
    for piece in words:
        collide = text[-1:].isalnum() and piece[:1].isalnum()
        text += f" {piece}" if collide else piece
    return text


def _words(bar: OpenBar, text: str, onset: int, staff: int) -> None:
    bar.marks.append(Mark(onset, "words", text, staff))
    for pattern, kind, meaning in _WORDS_THAT_ACT:
        if pattern.search(text):
            bar.marks.append(Mark(onset, kind, meaning or text, staff))


def _act(bar: OpenBar, sound: _Element, onset: int, staff: int, first: int) -> None:
    """What a <sound> does, unless a sign printed with it already says so."""
    told = {mark.kind for mark in bar.marks[first:]}
    for name, value in sound.attrib.items():
        if name == "tempo":
            read_sound_tempo(bar, str(value), onset)
        elif name == "forward-repeat" and value == "yes":
            bar.repeat_starts = True
        elif name == "pizzicato" and "pluck" not in told:
            bar.marks.append(Mark(onset, "pluck", "pizz" if value == "yes" else "arco", staff))
        elif name in _JUMPS and name not in told and value != "no":
            text = "" if value == "yes" else tidy(str(value), 40)
            bar.marks.append(Mark(onset, str(name), text, staff))


# Metronome marks, and tempos meant for a player device.


_FASTEST = 10_000
_NUMBER = re.compile(r"(?<!\d)\d{1,5}(?!\d)(?:[.,]\d{1,6})?", re.ASCII)
_MINUS = frozenset("-−")
_QUARTER = Fraction(1)


def read_metronome(bar: OpenBar, element: _Element, onset: int) -> None:
    """Add a <metronome>: a beat and its number, or two note values."""
    sides = _note_groups(element) if element.find("metronome-note") is not None else _units(element)
    text = element.findtext("per-minute")
    if not sides:
        bar.slip("a metronome mark without a readable note value was left out")
    elif len(sides) > 1:
        bar.tempos.append(TempoMark(onset, sides[0], None, sides[1]))
    elif text is not None:
        _per_minute(bar, sides[0], text, onset)


def read_sound_tempo(bar: OpenBar, text: str, onset: int) -> None:
    """Add a `sound tempo`, in quarters a minute."""
    speed = decimal(text)
    if speed is None or not 0 < speed <= _FASTEST:
        bar.slip(f"a tempo of “{tidy(text, 20)}” was left out")
        return
    bar.tempos.append(TempoMark(onset, _QUARTER, speed, None, False))


def _per_minute(bar: OpenBar, beat: Fraction, text: str, onset: int) -> None:
    """The number of a metronome mark: `72`, `c. 72`, `66.5`; the first of `72-76`."""
    is_negative = text.strip()[:1] in _MINUS
    numbers = [] if is_negative else _NUMBER.findall(text)
    speed = Fraction(numbers[0].replace(",", ".")) if numbers else Fraction(0)
    if not 0 < speed <= _FASTEST:
        bar.slip(f"a metronome mark “{tidy(text, 20)}” without a usable number was left out")
        return
    if len(numbers) > 1:
        bar.slip(f"the metronome mark “{tidy(text, 20)}” was read as {numbers[0]}")
    bar.tempos.append(TempoMark(onset, beat, speed))


def _units(element: _Element) -> list[Fraction]:
    """Note values of the plain form, each with its dots and tied notes, in quarters."""
    sides: list[Fraction] = []
    last = Fraction(0)
    for child in element.iter("beat-unit", "beat-unit-dot"):
        if child.tag == "beat-unit-dot":
            last /= 2
        else:
            last = QUARTERS.get((child.text or "").strip(), Fraction(0))
            if not last:
                return []
            parent = child.getparent()
            if not sides or parent is element:
                sides.append(Fraction(0))
        if sides:
            sides[-1] += last
    return sides


def _note_groups(element: _Element) -> list[Fraction]:
    """Sums of the written-out notes on the left and right of the relation, in quarters."""
    sides = [Fraction(0)]
    for child in element:
        if child.tag == "metronome-relation":
            sides.append(Fraction(0))
        elif child.tag == "metronome-note":
            sides[-1] += _metronome_note(child)
    return sides if len(sides) == 2 and all(sides) else []


def _metronome_note(element: _Element) -> Fraction:
    """Quarters of one <metronome-note>; 0 if it names no note."""
    plain = QUARTERS.get((element.findtext("metronome-type") or "").strip(), Fraction(0))
    dots = min(len(element.findall("metronome-dot")), 8)
    value = plain * (2 - Fraction(1, 2**dots))
    tuplet = element.find("metronome-tuplet")
    if tuplet is None:
        return value
    actual = whole(tuplet.findtext("actual-notes"), 1, 1024)
    normal = whole(tuplet.findtext("normal-notes"), 1, 1024)
    return value * normal / actual if actual and normal else value
