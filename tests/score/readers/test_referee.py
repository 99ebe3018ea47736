"""Our reading beside music21's, note by note, over the MusicXML files it ships.

music21 (BSD licence, its own reader, another model) is the outside source here:
onset in the bar, length, written pitch and ties of every note, and the meter of
every bar. By default a fixed slice is compared; COMPANION_REFEREE=all compares
everything and prints a table. Where we are right, `referee_exceptions.toml` says why.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from companion.score.model import TIE_STARTS, TIE_STOPS, Note, Part, Score
from companion.score.readers import door
from companion.score.readers.musicxml import read_musicxml

music21 = pytest.importorskip("music21")

CORPUS = Path(music21.__file__).parent / "corpus"
ENDINGS = {".mxl", ".xml", ".musicxml"}
EXCEPTIONS = Path(__file__).with_name("referee_exceptions.toml")
TIES = {
    None: 0,
    "let-ring": 0,
    "start": TIE_STARTS,
    "stop": TIE_STOPS,
    "continue": TIE_STARTS + TIE_STOPS,
}

Heard = tuple[Fraction, Fraction, str, int, bool]
"""Onset in the bar and length in quarters, written pitch, ties, whether it is a grace note."""


def corpus_files() -> list[Path]:
    return sorted(path for path in CORPUS.rglob("*") if path.suffix in ENDINGS)


def in_slice(path: Path) -> bool:
    """A fixed twentieth of the corpus, the largest files left out."""
    name = path.relative_to(CORPUS).as_posix()
    return path.stat().st_size < 120_000 and hashlib.sha256(name.encode()).digest()[0] < 13


# --- ours -------------------------------------------------------------------


def our_bars(score: Score, part: Part) -> Iterator[tuple[str | None, Counter[Heard]]]:
    for bar in part.bars:
        yield bar.meter, Counter(our_note(score, note) for note in bar.notes if not note.is_rest)


def our_note(score: Score, note: Note) -> Heard:
    ticks = score.ticks
    return (
        Fraction(note.onset, ticks),
        Fraction(note.length, ticks),
        note.pitch,
        note.tie,
        note.is_grace,
    )


def pairs(meter: str | None) -> list[tuple[int, int]]:
    """`3+2/8+3/4` as 3/8, 2/8, 3/4."""
    if meter is None:
        return []
    result: list[tuple[int, int]] = []
    waiting: list[int] = []
    for piece in meter.split("+"):
        top, _, bottom = piece.partition("/")
        waiting.append(int(top))
        if bottom:
            result += [(number, int(bottom)) for number in waiting]
            waiting = []
    return result


# --- the referee's ------------------------------------------------------------


def their_parts(path: Path, score: Score) -> list[list[Any]]:
    """Streams of each part in order of the page; one for each staff."""
    parsed = music21.converter.parse(path, forceSource=True, storePickle=False)
    waiting = list(parsed.parts)
    found: list[list[Any]] = []
    for part in score.parts:
        staves = part.staves if isinstance(waiting[0], music21.stream.PartStaff) else 1
        found.append(waiting[:staves])
        del waiting[:staves]
    assert not waiting, "music21 found more parts"
    return found


def their_bars(streams: list[Any]) -> Iterator[tuple[list[tuple[int, int]], Counter[Heard]]]:
    columns = [list(stream.getElementsByClass(music21.stream.Measure)) for stream in streams]
    meter: list[tuple[int, int]] = []
    for measures in zip(*columns, strict=True):
        meter = their_meter(measures[0], meter)
        heard: Counter[Heard] = Counter()
        for measure in measures:
            for element in measure.recurse().notes:
                heard.update(their_notes(element, measure))
        yield meter, heard


def their_meter(measure: Any, before: list[tuple[int, int]]) -> list[tuple[int, int]]:  # noqa: ANN401
    for sign in measure.getElementsByClass(music21.meter.TimeSignatureBase):
        if sign.offset == 0:
            if not isinstance(sign, music21.meter.TimeSignature):
                return []
            return pairs(str(sign.ratioString))
    return before


def their_notes(element: Any, measure: Any) -> Iterator[Heard]:  # noqa: ANN401
    if isinstance(element, music21.harmony.Harmony):
        return
    onset = Fraction(element.getOffsetInHierarchy(measure))
    is_grace = bool(element.duration.isGrace)
    for note in element.notes if hasattr(element, "notes") else [element]:
        length = Fraction(0) if is_grace else Fraction(element.duration.quarterLength)
        tie = TIES[note.tie.type if note.tie else None]
        yield onset, length, their_pitch(note), tie, is_grace


def their_pitch(note: Any) -> str:  # noqa: ANN401
    if not hasattr(note, "pitch"):
        return "x"
    pitch = note.pitch
    quarter_tones = round(2 * (pitch.accidental.alter if pitch.accidental else 0))
    sign = ("#" if quarter_tones > 0 else "b") * (abs(quarter_tones) // 2)
    odd = "" if quarter_tones % 2 == 0 else "^" if quarter_tones > 0 else "~"
    return f"{pitch.step}{sign}{odd}{pitch.octave}"


# --- beside each other ----------------------------------------------------------


def disagreements(path: Path) -> tuple[int, list[str]]:
    """Notes compared, and a sentence for each bar read differently."""
    source = door.read(path)
    score = read_musicxml(source.musicxml, path.stem)
    theirs = their_parts(path, score)
    count = 0
    told: list[str] = []
    for part, streams in zip(score.parts, theirs, strict=True):
        their = list(their_bars(streams))
        if len(their) != len(part.bars):
            told.append(f"{part.id}: {len(part.bars)} bars / {len(their)}")
        for number, ((meter, ours), (their_meter_, heard)) in enumerate(
            zip(our_bars(score, part), their, strict=False), 1
        ):
            count += sum(ours.values())
            where = f"{part.id} bar {number}"
            if pairs(meter) != their_meter_:
                told.append(f"{where}: meter {meter} / {their_meter_}")
            if ours != heard:
                told.append(f"{where}: only ours {show(ours - heard)} / {show(heard - ours)}")
    return count, told


def show(notes: Counter[Heard]) -> str:
    rows = sorted(notes.elements())
    return "; ".join(f"{n[2]}@{n[0]}+{n[1]} tie{n[3]}{' grace' * n[4]}" for n in rows[:6])
