"""One <note>: what sounds, for how long, in which voice.

The hot loop of the reader. Children are gathered once by name, because asking
the element for each of them in turn takes several times as long, and their texts
are fetched only where something hangs on them.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from lxml.etree import _Element

from companion.score.abbreviations import stroke_of
from companion.score.model import TIE_STARTS, TIE_STOPS, Note
from companion.score.readers.musicxml.notations import read_notations
from companion.score.readers.musicxml.open_bar import OpenBar
from companion.score.readers.musicxml.text import decimal, staff_number, tidy, whole
from companion.score.readers.musicxml.ticks import QUARTERS

_TIES = {"start": TIE_STARTS, "stop": TIE_STOPS, "continue": TIE_STARTS + TIE_STOPS}
_UNMARKED: tuple[str, ...] = ()


def read_note(bar: OpenBar, element: _Element) -> None:
    """Add a note or rest to the bar and move the cursor past it."""
    # A slice, which lxml's stubs do not know, has its children an eighth quicker than a loop.
    nodes: Nodes = {child.tag: child for child in element[:]}  # type: ignore[index]
    is_grace = "grace" in nodes
    in_chord = "chord" in nodes and _has_first(bar)
    raw = 0 if is_grace else written_length(bar, nodes)
    ratio = tuplet_ratio(bar, nodes) if "time-modification" in nodes else None
    is_exact = is_grace or (ratio is None and not bar.part.is_uneven)
    ticks = raw if is_exact else unrounded(bar, element, nodes, raw, ratio)
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
        tie, marks = _signs(bar, element, nodes, onset, ticks, ratio)
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
            "beam" in nodes and _begins_beam(nodes["beam"]),
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
    name = _UNPITCHED
    if "pitch" in nodes:
        name = _name(nodes["pitch"])
    elif "unpitched" not in nodes:
        name = ""
    if not name:
        bar.slip("a note without a readable pitch was taken as unpitched")
    return name or _UNPITCHED


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
    bar: OpenBar,
    element: _Element,
    nodes: Nodes,
    onset: int,
    ticks: int,
    ratio: tuple[int, int] | None,
) -> tuple[int, tuple[str, ...]]:
    """Ties, as the sounding <tie> has them where there is one, and signs. Asks for ticks fine
    enough to count the strokes that the note abbreviates."""
    tie, marks = 0, _UNMARKED
    if "notations" in nodes:
        tie, marks = read_notations(bar, _all("notations", element, nodes), onset)
        for sign in marks if bar.is_abbreviated else ():
            if "tremolo" in sign:
                note = Note(onset, ticks, tuplet=ratio)
                stroke = stroke_of(note, sign, bar.part.grid.ticks)
                if stroke is not None:
                    bar.part.grid.fit(stroke)
    if "tie" in nodes:
        tie = _ties(_all("tie", element, nodes))
    return tie, marks


def _begins_beam(last: _Element) -> bool:
    """Whether the main beam begins on a note; `last` is its last beam. Where the main one
    begins, the others can only begin too, or be hooks."""
    if last.text not in ("begin", "forward hook"):
        return False
    beam: _Element | None = last
    while beam is not None and beam.get("number", "1") != "1":
        beam = beam.getprevious()
    return beam is not None and beam.tag == "beam" and beam.text == "begin"


def _ties(signs: Iterable[_Element]) -> int:
    tie = 0
    for sign in signs:
        tie |= _TIES.get(sign.get("type") or "", 0)
    return tie


def _all(tag: str, element: _Element, nodes: Nodes) -> Iterable[_Element]:
    """All children of one name, of which `nodes` knows the last."""
    return (nodes[tag],) if len(nodes) == len(element) else element.iterchildren(tag)


# How long a note lasts: as the file counts it, and as it truly is.


Nodes = dict[str, _Element]
"""The children of one note by name."""

_ROUNDED = "some note lengths are rounded off in the file; the exact ones were taken"
_UNLIKE = "some notes of chords are counted unlike they are printed; the print was taken"


def written_length(bar: OpenBar, nodes: Nodes) -> int:
    """Ticks as the file counts them; from the note's type where no duration is given."""
    if "duration" in nodes:
        text = nodes["duration"].text
        counted = bar.part.counted.get(text)
        # Nearly every note takes this way out, and there are twenty thousand of them.
        return counted if counted is not None and counted >= 0 else bar.length(text)
    quarters = QUARTERS.get(_type(nodes) or "")
    if quarters is None:
        bar.slip("a note has neither duration nor type and was taken to last no time")
        return 0
    bar.slip("a note has no duration; its type was taken")
    return bar.part.grid.fit(quarters)


def tuplet_ratio(bar: OpenBar, nodes: Nodes) -> tuple[int, int] | None:
    """(actual, normal) of a note in a tuplet."""
    numbers = {child.tag: child.text for child in nodes["time-modification"]}
    ratio = _ratio(numbers.get("actual-notes"), numbers.get("normal-notes"))
    if ratio is None:
        bar.slip("a tuplet does not say how many notes it holds and was taken as plain notes")
    return ratio


@lru_cache(maxsize=512)
def _ratio(actual: str | None, normal: str | None) -> tuple[int, int] | None:
    up, down = whole(actual, 1, 1024), whole(normal, 1, 1024)
    return None if up is None or down is None else (up, down)


def unrounded(
    bar: OpenBar, element: _Element, nodes: Nodes, raw: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a note, mended where the file only rounds it to a division.

    Outside tuplets that happens where the part's divisions are uneven.
    """
    name = _type(nodes)
    if name is None:
        return raw
    dots = _dots(element, nodes)
    ticks = bar.part.grid.unrounded(raw, bar.part.unit, dots, name, ratio or (1, 1))
    if ticks != raw:
        bar.part.slips.add(bar.ordinal, _ROUNDED)
    return ticks


def like_its_chord(
    bar: OpenBar, element: _Element, nodes: Nodes, ticks: int, ratio: tuple[int, int] | None
) -> int:
    """Ticks of a chord note counted unlike the first note: the first note's, if that is what
    its own type, dots and tuplet say."""
    first = bar.notes[-1].length
    quarters = QUARTERS.get(_type(nodes) or "")
    if quarters is None:
        return ticks
    actual, normal = ratio or (1, 1)
    printed = quarters * (2 - Fraction(1, 2 ** min(_dots(element, nodes), 8))) * normal / actual
    if printed * bar.part.grid.ticks != first:
        return ticks
    bar.part.slips.add(bar.ordinal, _UNLIKE)
    return first


def _type(nodes: Nodes) -> str | None:
    return nodes["type"].text if "type" in nodes else None


def _dots(element: _Element, nodes: Nodes) -> int:
    return len(element.findall("dot")) if "dot" in nodes else 0


# Names of pitches as written: `F#4`, `Bb3`, `C##5`, a quarter tone up `F^4`.


_UNPITCHED = "x"


@lru_cache(maxsize=4096)
def pitch_name(step: str | None, alter: str | None, octave: str | None) -> str:
    """The name of a <pitch>; empty if its contents name none.

    Alterations between quarter tones are taken to the nearest one.
    """
    letter = (step or "").strip()
    number = whole(octave, -1, 12)
    bend = decimal(alter) if alter and alter.strip() else Fraction(0)
    if letter not in tuple("ABCDEFG") or number is None or bend is None or abs(bend) > 4:
        return ""
    quarter_tones = round(bend * 2)
    half_tones = abs(quarter_tones) // 2
    sign = "#" if quarter_tones > 0 else "b"
    odd = "" if quarter_tones % 2 == 0 else "^" if quarter_tones > 0 else "~"
    return f"{letter}{sign * half_tones}{odd}{number}"
