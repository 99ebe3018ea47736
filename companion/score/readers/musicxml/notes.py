"""One <note>: what sounds, for how long, in which voice.

The hot loop of the reader. Children are gathered once by name, because asking
the element for each of them in turn takes several times as long.
"""

from __future__ import annotations

from functools import lru_cache

from lxml.etree import _Element

from companion.score.model import TIE_STARTS, TIE_STOPS, Note
from companion.score.readers.musicxml.lengths import (
    Nodes,
    Texts,
    like_its_chord,
    tuplet_ratio,
    unrounded,
    written_length,
)
from companion.score.readers.musicxml.notations import read_notations
from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.pitch import UNPITCHED, pitch_name
from companion.score.readers.musicxml.text import staff_number, tidy

_TIES = {"start": TIE_STARTS, "stop": TIE_STOPS, "continue": TIE_STARTS + TIE_STOPS}
_UNMARKED: tuple[str, ...] = ()
_LOOKED_INTO = frozenset({"pitch", "rest", "unpitched", "notations", "tie", "time-modification"})


def read_note(bar: OpenBar, element: _Element) -> None:
    """Add a note or rest to the bar and move the cursor past it."""
    texts, nodes = _children(element)
    is_grace = "grace" in texts
    in_chord = "chord" in texts and _has_first(bar)
    raw = 0 if is_grace else written_length(bar, texts)
    ratio = tuplet_ratio(bar, nodes)
    ticks = raw if is_grace else unrounded(bar, element, texts, raw, ratio)
    onset, voice, staff = bar.at, "1", 1
    if in_chord:
        first = bar.notes[-1]
        onset, voice, staff = first.onset, first.voice, first.staff
        if ticks != first.length and not is_grace:
            ticks = like_its_chord(bar, element, texts, ticks, ratio)
    rest = nodes.get("rest")
    fills_bar = rest is not None and not onset and _fills(bar, rest, texts, raw)
    tie, marks = read_notations(bar, element, onset) if "notations" in nodes else (0, _UNMARKED)
    if "tie" in nodes:
        tie = _ties(element)
    bar.notes.append(
        Note(
            onset,
            ticks,
            "" if rest is not None else _pitch(bar, nodes),
            _voice(texts["voice"]) if "voice" in texts else voice,
            _staff(bar, texts["staff"]) if "staff" in texts else staff,
            tie,
            in_chord,
            is_grace,
            "cue" in texts,
            fills_bar,
            ratio,
            marks,
        )
    )
    if not (in_chord or is_grace):
        bar.advance(raw, ticks)
        if bar.at > bar.filled and not fills_bar:
            bar.filled = bar.at


def _children(element: _Element) -> tuple[Texts, Nodes]:
    """Children by name. Only those that must be looked into are kept as elements: letting
    the others go at once is a fifth of all reading time."""
    texts: Texts = {}
    nodes: Nodes = {}
    for child in element:
        tag = child.tag
        if tag in _LOOKED_INTO:
            nodes[tag] = child
        else:
            texts[tag] = child.text
    return texts, nodes


def _has_first(bar: OpenBar) -> bool:
    """Whether there is a note a chord note can belong to."""
    if not bar.notes:
        bar.slip("a chord lacks its first note; the next one was taken for it")
    return bool(bar.notes)


def _fills(bar: OpenBar, rest: _Element, texts: Texts, raw: int) -> bool:
    """Whether a rest at the barline stands for the whole bar.

    Files before version 2.0 cannot say so; there a rest without a type, or a whole
    rest, as long as the meter is one (common practice, no source).
    """
    if rest.get("measure") == "yes":
        return True
    is_whole = texts.get("type") in (None, "whole")
    return is_whole and raw > 0 and raw == bar.part.bar_ticks


def _pitch(bar: OpenBar, nodes: Nodes) -> str:
    name = UNPITCHED
    pitch = nodes.get("pitch")
    if pitch is not None:
        parts = {child.tag: child.text for child in pitch}
        name = pitch_name(parts.get("step"), parts.get("alter"), parts.get("octave"))
    elif "unpitched" not in nodes:
        name = ""
    if not name:
        bar.slip("a note without a readable pitch was taken as unpitched")
    return name or UNPITCHED


@lru_cache(maxsize=512)
def _voice(text: str | None) -> str:
    return tidy(text, 20) or "1"


def _staff(bar: OpenBar, text: str | None) -> int:
    number = staff_number(text)
    if number > bar.part.staves:
        bar.part.staves = number
    return number


def _ties(element: _Element) -> int:
    tie = 0
    for child in element.iterchildren("tie"):
        tie |= _TIES.get(child.get("type") or "", 0)
    return tie
