"""Our reading beside music21's, note by note, over the MusicXML files it ships.

music21 (BSD licence, its own reader, another model) is the outside source here:
onset in the bar, length, written pitch and ties of every note, and the meter of
every bar. By default a fixed slice is compared; COMPANION_REFEREE=all compares
everything and prints a table. Where we are right, `referee_exceptions.toml` says why.
"""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from companion.score.model import TIE_STARTS, TIE_STOPS, Note, Part, Score
from companion.score.readers import score_source
from companion.score.readers.musicxml.reading import read_musicxml

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


@dataclass
class Bar:
    """One bar as either side reads it."""

    meter: list[tuple[int, int]]
    """Pairs of beats and beat type; none where unmeasured."""
    notes: list[Heard]
    """Every note."""
    rests: Counter[tuple[Fraction, Fraction]]
    """Onset and length of every rest. The referee adds hidden ones of its own."""


def corpus_files() -> list[Path]:
    return sorted(path for path in CORPUS.rglob("*") if path.suffix in ENDINGS)


def in_slice(path: Path) -> bool:
    """A fixed eighth of the corpus, the largest files left out."""
    name = path.relative_to(CORPUS).as_posix()
    return path.stat().st_size < 120_000 and hashlib.sha256(name.encode()).digest()[0] < 32


# --- ours -------------------------------------------------------------------


def our_bars(score: Score, part: Part) -> Iterator[Bar]:
    for bar in part.bars:
        notes = [our_note(score, note) for note in bar.notes if not note.is_rest]
        rests = Counter(
            (Fraction(note.onset, score.ticks), Fraction(note.length, score.ticks))
            for note in bar.notes
            if note.is_rest and not note.is_grace
        )
        yield Bar(pairs(bar.meter), notes, rests)


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


def their_bars(streams: list[Any]) -> Iterator[Bar]:
    columns = [list(stream.getElementsByClass(music21.stream.Measure)) for stream in streams]
    meter: list[tuple[int, int]] = []
    for measures in zip(*columns, strict=True):
        meter = their_meter(measures[0], meter)
        bar = Bar(meter, [], Counter())
        for measure in measures:
            for element in measure.recurse().notesAndRests:
                if isinstance(element, music21.note.Rest):
                    onset = Fraction(element.getOffsetInHierarchy(measure))
                    bar.rests[onset, Fraction(element.duration.quarterLength)] += 1
                else:
                    bar.notes.extend(their_notes(element, measure))
        yield bar


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


@dataclass
class Finding:
    """What comparing one file came to."""

    file: str
    notes: int = 0
    bars: int = 0
    told: list[str] = field(default_factory=list)

    def tell(self, part: str, bar: int, what: str) -> None:
        self.told.append(f"{part} bar {bar}: {what}")


def compare(path: Path) -> Finding:
    """Every bar of every part of a file beside the referee's."""
    finding = Finding(path.relative_to(CORPUS).as_posix())
    score = read_musicxml(score_source.read(path).musicxml, path.stem)
    rounded = any("rounded off in the file" in sentence for _, sentence in score.slips)
    slack = Fraction(1, 100) if rounded else Fraction(0)
    for part, streams in zip(score.parts, their_parts(path, score), strict=True):
        theirs = list(their_bars(streams))
        if len(theirs) != len(part.bars):
            finding.tell(part.id, 0, f"{len(part.bars)} bars / {len(theirs)}")
        pairs_of_bars = zip(our_bars(score, part), theirs, strict=False)
        for number, (ours, their) in enumerate(pairs_of_bars, 1):
            compare_bar(finding, (part.id, number), ours, their, slack)
    return finding


def compare_bar(
    finding: Finding, place: tuple[str, int], ours: Bar, theirs: Bar, slack: Fraction
) -> None:
    finding.bars += 1
    finding.notes += len(ours.notes)
    if ours.meter != theirs.meter:
        finding.tell(*place, f"meter {ours.meter} / {theirs.meter}")
    if not alike(ours.notes, theirs.notes, slack):
        only = show(ours.notes, theirs.notes), show(theirs.notes, ours.notes)
        finding.tell(*place, f"only ours {only[0]} / only theirs {only[1]}")
    if not slack and ours.rests - theirs.rests:
        finding.tell(*place, f"rests only ours {sorted((ours.rests - theirs.rests).elements())}")


def alike(ours: list[Heard], theirs: list[Heard], slack: Fraction) -> bool:
    """Whether two lists hold the same notes, give or take a file's own rounding."""
    return len(ours) == len(theirs) and all(
        one[2:] == other[2:] and abs(one[0] - other[0]) <= slack and abs(one[1] - other[1]) <= slack
        for one, other in zip(sorted(ours, key=by_pitch), sorted(theirs, key=by_pitch), strict=True)
    )


def by_pitch(heard: Heard) -> tuple[str, bool, Fraction, Fraction, int]:
    onset, length, pitch, tie, is_grace = heard
    return pitch, is_grace, onset, length, tie


def show(notes: list[Heard], others: list[Heard]) -> str:
    rows = sorted((Counter(notes) - Counter(others)).elements())
    return "; ".join(f"{n[2]}@{n[0]}+{n[1]} tie{n[3]}{' grace' * n[4]}" for n in rows[:6]) or "none"


# --- the tests ----------------------------------------------------------------------


def exceptions() -> dict[str, dict[str, str]]:
    """Bars, by file, in which we are right, with the reason."""
    rows = tomllib.loads(EXCEPTIONS.read_text("utf-8"))["exception"]
    found: dict[str, dict[str, str]] = {}
    for row in rows:
        places = {f"{row['part']} bar {bar}": row["because"] for bar in row["bars"]}
        found.setdefault(row["file"], {}).update(places)
    return found


def unexplained(finding: Finding) -> list[str]:
    known = exceptions().get(finding.file, {})
    return [told for told in finding.told if told.split(":")[0] not in known]


def name(path: Path) -> str:
    return path.relative_to(CORPUS).as_posix()


@pytest.mark.parametrize("path", [path for path in corpus_files() if in_slice(path)], ids=name)
def test_we_read_what_the_referee_reads(path: Path) -> None:
    finding = compare(path)
    assert finding.bars
    assert unexplained(finding) == []


@pytest.mark.parametrize("file", sorted(exceptions()))
def test_every_exception_is_still_one(file: str) -> None:
    places = {told.split(":")[0] for told in compare(CORPUS / file).told}
    assert places == set(exceptions()[file])


@pytest.mark.skipif(os.environ.get("COMPANION_REFEREE") != "all", reason="takes minutes")
def test_the_whole_corpus(capsys: pytest.CaptureFixture[str]) -> None:
    findings = [compare(path) for path in corpus_files()]
    with capsys.disabled():
        print(table(findings))  # noqa: T201
    assert [told for finding in findings for told in unexplained(finding)] == []


def table(findings: list[Finding]) -> str:
    """Files read, bars and notes compared, and disagreements, folder by folder."""
    rows = [f"\n{'folder':<18}{'files':>7}{'bars':>9}{'notes':>9}{'unlike':>8}{'excepted':>10}"]
    folders = sorted({finding.file.split("/")[0] for finding in findings})
    for folder in [*folders, ""]:
        own = [finding for finding in findings if finding.file.startswith(folder)]
        unlike = sum(len(finding.told) for finding in own)
        excepted = unlike - sum(len(unexplained(finding)) for finding in own)
        counts = (len(own), sum(f.bars for f in own), sum(f.notes for f in own), unlike, excepted)
        cells = "".join(
            f"{count:>{width}}" for count, width in zip(counts, (7, 9, 9, 8, 10), strict=True)
        )
        rows.append(f"{folder or 'all':<18}{cells}")
    return "\n".join(rows)
