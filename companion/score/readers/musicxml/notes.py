"""One <note>: what sounds, for how long, in which voice.

The hot loop of the reader. Children are gathered once by name, because asking
the element for each of them in turn takes several times as long, and their texts
are fetched only where something hangs on them.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from lxml.etree import _Element

from companion.score.model import TIE_STARTS, TIE_STOPS, Note
from companion.score.readers.musicxml.lengths import (
    Nodes,
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


def read_note(bar: OpenBar, element: _Element) -> None:
    """Add a note or rest to the bar and move the cursor past it."""
    nodes: Nodes = {child.tag: child for child in element}
    is_grace = "grace" in nodes
    in_chord = "chord" in nodes and _has_first(bar)
    raw = 0 if is_grace else written_length(bar, nodes)
    ratio = tuplet_ratio(bar, nodes) if "time-modification" in nodes else None
    ticks = raw
    if not is_grace and (ratio is not None or bar.part.is_uneven):
        ticks = unrounded(bar, element, nodes, raw, ratio)
    onset, voice, staff = bar.at, "1", 1
    if in_chord:
        first = bar.notes[-1]
        onset, voice, staff = first.onset, first.voice, first.staff
        if ticks != first.length and not is_grace:
            ticks = like_its_chord(bar, element, nodes, ticks, ratio)
    is_rest = "rest" in nodes
    fills_bar = is_rest and not onset and _fills(bar, nodes, raw)
    tie, marks = 0, _UNMARKED
    if "notations" in nodes or "tie" in nodes:
        tie, marks = _signs(bar, element, nodes, onset)
    bar.notes.append(
        Note(
            onset,
            ticks,
            "" if is_rest else _pitch(bar, nodes),
            _voice(nodes["voice"].text) if "voice" in nodes else voice,
            _staff(bar, nodes["staff"].text) if "staff" in nodes else staff,
            tie,
            in_chord,
            is_grace,
            "cue" in nodes,
            fills_bar,
            ratio,
            marks,
        )
    )
    if not (in_chord or is_grace):
        bar.advance(raw, ticks, is_content=not fills_bar)


def _has_first(bar: OpenBar) -> bool:
    """Whether there is a note a chord note can belong to."""
    if not bar.notes:
        bar.slip("a chord lacks its first note; the next one was taken for it")
    return bool(bar.notes)


def _fills(bar: OpenBar, nodes: Nodes, raw: int) -> bool:
    """Whether a rest at the barline stands for the whole bar.

    Files before version 2.0 cannot say so; there a rest without a type, or a whole
    rest, as long as the meter is one (common practice, no source). In a pickup the rest says
    how long that is.
    """
    if nodes["rest"].get("measure") == "yes":
        return not (bar.is_implicit and 0 < raw < bar.part.bar_ticks)
    is_whole = "type" not in nodes or nodes["type"].text in (None, "whole")
    return is_whole and raw > 0 and raw == bar.part.bar_ticks


def _pitch(bar: OpenBar, nodes: Nodes) -> str:
    name = UNPITCHED
    if "pitch" in nodes:
        name = _name(nodes["pitch"])
    elif "unpitched" not in nodes:
        name = ""
    if not name:
        bar.slip("a note without a readable pitch was taken as unpitched")
    return name or UNPITCHED


def _name(pitch: _Element) -> str:
    if len(pitch) == 2:
        # Step and octave in the order of the schema: quicker than by name.
        first, last = pitch[0], pitch[1]
        if first.tag == "step" and last.tag == "octave":
            return pitch_name(first.text, None, last.text)
    texts = {child.tag: child.text for child in pitch}
    return pitch_name(texts.get("step"), texts.get("alter"), texts.get("octave"))


@lru_cache(maxsize=512)
def _voice(text: str | None) -> str:
    return tidy(text, 20) or "1"


def _staff(bar: OpenBar, text: str | None) -> int:
    number = staff_number(text)
    if number > bar.part.staves:
        bar.part.staves = number
    return number


def _signs(
    bar: OpenBar, element: _Element, nodes: Nodes, onset: int
) -> tuple[int, tuple[str, ...]]:
    """Ties, as the sounding <tie> has them where there is one, and signs."""
    tie, marks = 0, _UNMARKED
    if "notations" in nodes:
        tie, marks = read_notations(bar, _all("notations", element, nodes), onset)
    if "tie" in nodes:
        tie = _ties(_all("tie", element, nodes))
    return tie, marks


def _ties(signs: Iterable[_Element]) -> int:
    tie = 0
    for sign in signs:
        tie |= _TIES.get(sign.get("type") or "", 0)
    return tie


def _all(tag: str, element: _Element, nodes: Nodes) -> Iterable[_Element]:
    """All children of one name, of which `nodes` knows the last."""
    return (nodes[tag],) if len(nodes) == len(element) else element.iterchildren(tag)
