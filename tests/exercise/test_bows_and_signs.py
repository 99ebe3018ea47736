"""Bows, slurs, tuplets, double stops and dynamics of a pattern, as two other readers have them.

Sources: music21 and partitura as independent readers of MusicXML. That a group which divides
more than one beat is beamed as one is common practice, no source.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import partitura
import pytest
from lxml import etree
from music21 import converter, spanner, stream

from companion.exercise.drill_on_score import made_score
from companion.exercise.file.exercise_file import read_exercise
from companion.exercise.pattern.notation import NotationEvent, read_pattern_note
from companion.exercise.pattern.pattern import PatternError, read_pattern
from companion.exercise.pattern.pattern_score import write_musicxml
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import musicxml_of
from companion.session.open_exercise import built_in_exercises
from tests.part.schema import faults

SIGNS = (
    "Violin: 3/4 p (D4e3n E4e3 F#4e3) G4+B4qv A4q> | cresc (D4e A4e) (B4e'*3 C5e | "
    "f D5q) D4+A4h~ | D4+A4h. | (E4q5:3*5)"
)


def made(pattern: str, *, is_early: bool = False) -> bytes:
    return write_musicxml(read_pattern(pattern), "A study", "D", is_early=is_early)


def heard(pattern: str) -> stream.Score:
    return converter.parse(made(pattern).decode(), format="musicxml", forceSource=True)


def parted(pattern: str, folder: Path) -> partitura.score.Part:
    path = folder / "x.musicxml"
    path.write_bytes(made(pattern))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return partitura.load_musicxml(str(path)).parts[0]


SLURS = [("D4", "F#4"), ("D4", "A4"), ("B4", "D5"), ("E4", "E4")]


def test_both_readers_find_the_slurs_where_they_were_written(tmp_path: Path) -> None:
    found = [
        (slur.getFirst().pitches[0].nameWithOctave, slur.getLast().pitches[0].nameWithOctave)
        for slur in heard(SIGNS).recurse().getElementsByClass(spanner.Slur)
    ]
    assert found == SLURS

    def name(note: partitura.score.Note) -> str:
        return f"{note.step}{'#' if note.alter == 1 else ''}{note.octave}"

    slurs = parted(SIGNS, tmp_path).iter_all(partitura.score.Slur)
    assert [(name(one.start_note), name(one.end_note)) for one in slurs] == SLURS


@pytest.mark.parametrize(
    ("pattern", "ratios"),
    [
        ("2/4 D4e3*3 D4e3*3 | D4e5*5", [(3, 2), (3, 2), (5, 4)]),
        ("9/8 D4e2 D4e2 D4e4*4 D4q.", [(2, 3), (4, 3)]),
        ("3/4 D4e3*9 | D4q5:3*5", [(3, 2), (3, 2), (3, 2), (5, 3)]),
    ],
)
def test_both_readers_find_the_tuplets(
    pattern: str, ratios: list[tuple[int, int]], tmp_path: Path
) -> None:
    begun = [
        (tuplet.numberNotesActual, tuplet.numberNotesNormal)
        for note in heard(pattern).recurse().notes
        for tuplet in note.duration.tuplets
        if tuplet.type == "start"
    ]
    assert begun == ratios
    part = parted(pattern, tmp_path)
    told = [(one.actual_notes, one.normal_notes) for one in part.iter_all(partitura.score.Tuplet)]
    assert told == ratios
    # and the length in quarters, whatever is printed
    quarters = {"2/4": 4, "9/8": 4.5, "3/4": 6}[pattern.split()[0]]
    assert heard(pattern).quarterLength == pytest.approx(quarters)


def test_bows_accents_and_dots_stand_on_their_notes() -> None:
    notes = list(heard(SIGNS).recurse().notes)
    told = [[sign.name for sign in note.articulations] for note in notes[:5]]
    assert told == [["down bow"], [], [], ["up bow"], ["accent"]]
    assert [sign.name for sign in notes[7].articulations] == ["staccato"]


def test_a_double_stop_is_one_stem_and_its_tie_has_two_ends() -> None:
    notes = list(heard(SIGNS).recurse().notes)
    stops = [[pitch.nameWithOctave for pitch in one.pitches] for one in notes if one.isChord]
    assert stops == [["G4", "B4"], ["D4", "A4"], ["D4", "A4"]]
    root = etree.fromstring(made(SIGNS))
    assert len(root.findall(".//tied[@type='start']")) == 2
    assert len(root.findall(".//tied[@type='stop']")) == 2


def test_dynamics_stand_before_their_notes() -> None:
    score = read_musicxml(made(SIGNS), "x")
    marks = [
        (number, mark.text)
        for number, bar in enumerate(score.parts[0].bars, 1)
        for mark in bar.marks
        if mark.kind in ("dynamic", "words")
    ]
    assert marks == [(1, "p"), (2, "cresc."), (3, "f")]


def test_it_obeys_the_published_schema() -> None:
    assert faults(made(SIGNS), "3.1") == []
    assert read_musicxml(made(SIGNS), "x").slips == ()


def beams(pattern: str, *, is_early: bool = False) -> list[str]:
    """The outermost beam of each note."""
    root = etree.fromstring(made(pattern, is_early=is_early))
    return [note.findtext("beam") or "" for note in root.iter("note")]


WHOLE = ["begin", "continue", "continue", "end"]


def test_what_divides_more_than_one_beat_is_beamed_as_one() -> None:
    assert beams("2/4 e5*5") == ["begin", *["continue"] * 3, "end"]
    assert beams("3/4 e.*4") == WHOLE
    assert beams("6/8 e.*4") == ["begin", "end"] * 2
    assert beams("2/4 e3*6") == ["begin", "continue", "end"] * 2
    assert beams("3/4 e*6") == ["begin", "end"] * 3
    assert beams("4/4 e5*5 e e e e") == ["begin", *["continue"] * 3, "end", *["begin", "end"] * 2]


def test_files_of_earlier_formats_are_beamed_as_they_were() -> None:
    """Their bytes are what a log knows them by."""
    assert beams("2/4 e5*5", is_early=True) == ["begin", "continue", "end", "begin", "end"]
    text = 'format = {}\ntitle = "x"\n[[drill]]\npattern = "2/4 e5*5"\n'
    early, now = (read_exercise(text.format(n).encode(), "x").exercise for n in (2, 3))
    assert made_score(early.drills[0], "x") == write_musicxml(
        read_pattern("2/4 e5*5"), "x", is_early=True
    )
    assert made_score(now.drills[0], "x") == write_musicxml(read_pattern("2/4 e5*5"), "x")


def test_nine_triplets_may_be_written_at_once() -> None:
    assert read_pattern_note("e3*9") == [NotationEvent("e", 0, "x", (3, 2))] * 9


@pytest.mark.parametrize(
    ("pattern", "told"),
    [
        ("2/4 (D4q E4q", "opened or closed"),
        ("2/4 D4q E4q)", "opened or closed"),
        ("2/4 (D4e (E4e) F4e) G4e", "over one note"),
        ("2/4 (D4e (E4e F4e) G4e)", "opened or closed"),
        ("2/4 (rq D4q)", "rest with a pitch or a sign"),
        ("2/4 D4qnv q", "both down-bow and up-bow"),
        ("2/4 D4+D4h", "a note twice"),
        ("2/4 D4+E4+F4+G4+A4h", "more than 4"),
        ("2/4 D4q q f", "no note after it"),
        ("2/4 ( D4q E4q )", "stands alone"),
        ("2/4 D4+A4q~ D4q", "does not reach"),
    ],
)
def test_what_cannot_be_is_told(pattern: str, told: str) -> None:
    with pytest.raises(PatternError) as caught:
        read_pattern(pattern)
    assert any(told in fault.what for fault in caught.value.faults)


def test_abc_brings_what_the_page_says_and_no_more(tmp_path: Path) -> None:
    path = tmp_path / "x.abc"
    path.write_text(
        'X:1\nT:x\nM:2/4\nL:1/8\nQ:1/4=60\nK:D\nV:1 name="Violin"\n'
        "!p!(DE) (3FGA|.A LB u[DA]v[DA]|A-A {c}B z|D4|\nV:2\nz4|D,4|z4|D,4|\n"
    )
    root = etree.fromstring(musicxml_of(path, tmp_path / "cache"))
    count = {tag: len(list(root.iter(tag))) for tag in ABC}
    assert count == ABC
    assert [one.text for one in root.iter("part-name")] == ["Part 1", "Part 2"]


ABC = {
    **{"slur": 2, "tied": 2, "staccato": 1, "chord": 2, "grace": 1, "time-modification": 3},
    **{"per-minute": 2, "up-bow": 0, "down-bow": 0, "accent": 0, "dynamics": 0},
}
"""How many of each element come out of it."""


def test_one_bow_to_the_bar_prints_its_slurs() -> None:
    asked = [
        drill
        for one in built_in_exercises()
        for drill in one.exercise.drills
        if drill.title == "one bow to the bar"
    ]
    assert len(asked) == 2
    for drill in asked:
        part = etree.fromstring(made_score(drill, "x")).find("part")
        assert part is not None
        for measure in part.iter("measure"):
            notes = list(measure.iter("note"))
            ends = [[slur.get("type") for slur in note.iter("slur")] for note in notes]
            assert len(notes) == 1 or (ends[0], ends[-1]) == (["start"], ["stop"])
