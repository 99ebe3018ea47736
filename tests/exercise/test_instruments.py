"""Every exercise on every string instrument, as a string player would move it.

Open strings, sounding: violin G3 D4 A4 E5, viola C3 G3 D4 A4, cello C2 G2 D3 A3, double bass
E1 A1 D2 G2 (W. Piston, Orchestration, 1955; S. Adler, The Study of Orchestration; from
memory). That a line keeps its fingering if it goes from strings to strings, and that a double
bass reads an octave above what sounds, is common practice, no source. What sounds is heard by
music21 from the score that is made.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import gettempdir

import pytest
from lxml import etree

from companion.errors import RequestError
from companion.exercise.drill_on_score import DrillOnScore, made_score
from companion.exercise.file.exercise import Exercise, ExerciseDrill
from companion.exercise.fitting import fitted, fitting, is_for, range_of_exercise
from companion.exercise.instruments import INSTRUMENTS, instrument_named, instrument_of
from companion.exercise.pattern.transposition import Interval, key_moved, moved
from companion.files.folders import Folders, folders
from companion.session.my_instrument import choose_instrument, my_instrument, next_instrument
from companion.session.open_exercise import (
    built_in_exercises,
    built_in_files,
    check_exercise,
    exercise_library_folder,
    open_exercise,
)
from companion.wording.exercise_sentences import fitting_told
from tests.exercise.heard import HeardBar, heard, pitches

OPEN_STRINGS = {
    "violin": (55, 62, 69, 76),
    "viola": (48, 55, 62, 69),
    "cello": (36, 43, 50, 57),
    "double bass": (28, 33, 38, 43),
}
"""As they sound, middle C = 60."""
FIFTH = 7
"""Above the highest open string: first position on violin and viola, without the thumb on
cello and double bass (common practice, no source)."""
ALL = {one.name: one.exercise for one in built_in_exercises()}
NOWHERE = Folders(Path(gettempdir(), "nobody"), Path(gettempdir(), "nobody", "cache"))


def course() -> list[str]:
    readme = (exercise_library_folder() / "README.md").read_text("utf-8")
    weeks = readme.split("## A first course")[1]
    return re.findall(r"[a-z]+/[a-z_]+", weeks)


@cache
def on(name: str, instrument: str) -> tuple[DrillOnScore, ...]:
    """The drills as they are opened for an instrument."""
    return check_exercise(built_in_files()[name], NOWHERE, instrument_named(instrument)).drills


def score_of(drill: DrillOnScore) -> bytes:
    return made_score(drill.drill, "x")


def line(drill: DrillOnScore) -> list[int]:
    """What the student's line sounds."""
    return pitches(score_of(drill))[drill.passage.part]


def rhythm(drill: DrillOnScore) -> list[list[HeardBar]]:
    return heard(score_of(drill))


def test_the_course_is_four_weeks_of_four_exercises() -> None:
    assert len(course()) == 16 and set(course()) <= set(ALL)


@pytest.mark.parametrize("instrument", OPEN_STRINGS)
@pytest.mark.parametrize("name", course())
def test_the_course_sounds_in_low_positions_on_every_instrument(name: str, instrument: str) -> None:
    low, high = OPEN_STRINGS[instrument][0], OPEN_STRINGS[instrument][-1] + FIFTH
    for drill in on(name, instrument):
        sounding = line(drill)
        assert all(low <= pitch <= high for pitch in sounding)
        if sounding:
            assert instrument_of(drill.passage.part_name) == instrument_named(instrument)


STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@pytest.mark.parametrize("instrument", OPEN_STRINGS)
def test_the_whole_library_lies_in_low_positions(instrument: str) -> None:
    """Read from the elements of the score, without any of the program's own pitches."""
    low, high = OPEN_STRINGS[instrument][0], OPEN_STRINGS[instrument][-1] + FIFTH
    for exercise in ALL.values():
        for drill in fitted(exercise, instrument_named(instrument)).drills:
            root = etree.fromstring(made_score(drill, "x"))
            part = root.findall("part")[int(drill.part) - 1]
            octaves = int(part.findtext(".//octave-change") or 0)
            for pitch in part.iter("pitch"):
                step, octave = STEPS[pitch.findtext("step", "")], int(pitch.findtext("octave", ""))
                alter = int(pitch.findtext("alter") or 0)
                assert low <= 12 * (octave + 1 + octaves) + step + alter <= high, exercise.title


@pytest.mark.parametrize("instrument", OPEN_STRINGS)
@pytest.mark.parametrize("name", course())
def test_the_rhythm_of_the_course_stays_whatever_the_instrument(name: str, instrument: str) -> None:
    exercise = ALL[name]
    for number, drill in enumerate(on(name, instrument), 1):
        assert rhythm(drill) == heard(made_score(exercise.drills[number - 1], "x"))


@pytest.mark.parametrize("instrument", OPEN_STRINGS)
@pytest.mark.parametrize(
    "name", ["bow/three_over_two_open_strings", "bow/two_over_three_open_strings"]
)
def test_open_strings_go_to_open_strings(name: str, instrument: str) -> None:
    (written, strings) = next(
        (drill, OPEN_STRINGS[home])
        for home in OPEN_STRINGS
        for drill in on(name, home)[:1]
        if is_for(ALL[name], instrument_named(home))
    )
    for here, there in zip(line(written), line(on(name, instrument)[0]), strict=True):
        assert OPEN_STRINGS[instrument].index(there) == strings.index(here)


@pytest.mark.parametrize("name", [name for name in ALL if "/after_a" in name or "scale" in name])
def test_a_line_alone_keeps_its_strings_between_violin_viola_and_cello(name: str) -> None:
    lines = {kind: line(on(name, kind)[0]) for kind in ("violin", "viola", "cello")}
    for above, below, apart in (("violin", "viola", 7), ("viola", "cello", 12)):
        assert [note - apart for note in lines[above]] == lines[below]


def test_the_others_keep_their_notes_if_the_line_moves_by_octaves() -> None:
    """One line for two: what one has, the other has not, so both must go on fitting."""
    for instrument in OPEN_STRINGS:
        for drill in on("together/hocket_in_two_four", instrument):
            own, before = line(drill), line(on("together/hocket_in_two_four", "violin")[0])
            if drill.number == 1:
                assert len({(a - b) % 12 for a, b in zip(own, before, strict=True)}) == 1


def test_a_double_bass_reads_an_octave_above_what_sounds() -> None:
    (drill, *_) = on("bow/scale_in_triplets", "double bass")
    assert min(line(drill)) == 43 - 12  # G2 on the page
    assert b"<octave-change>-1</octave-change>" in score_of(drill)


def solo(pattern: str, key: str = "") -> Exercise:
    return Exercise(title="x", drills=(ExerciseDrill(pattern=pattern, key=key),))


def test_the_key_goes_with_the_notes_and_the_signs_stay() -> None:
    written = solo("Violin: 3/4 p (F#4q' G4q) D4+A4q> | A4h.~ | A4h rq\nTap: 3/4 h. | % | %", "D")
    made = fitted(written, instrument_named("viola")).drills[0]
    assert made.key == "G"
    assert made.pattern == ("Viola: 3/4 p (B3q' C4q) G3+D4q> | D4h.~ | D4h rq\nTap: 3/4 h. | % | %")
    assert fitted(written, instrument_named("violin")) is written


# The circle of fifths, and the octave that changes between B and C (common practice).
@pytest.mark.parametrize(
    ("pitch", "by", "there"),
    [
        *(("F#4", Interval(-1), "B3"), ("C4", Interval(-1), "F3"), ("B3", Interval(1), "F#4")),
        *(
            ("Bb3", Interval(1, -1), "F3"),
            ("E5", Interval(-1, -1), "A3"),
            ("F4", Interval(1), "C5"),
        ),
        *(("C#4", Interval(0, -2), "C#2"), ("Eb4", Interval(-1), "Ab3")),
    ],
)
def test_a_note_is_spelled_as_in_its_new_key(pitch: str, by: Interval, there: str) -> None:
    assert moved(pitch, by) == there


def test_keys_move_by_fifths() -> None:
    assert key_moved("D minor", Interval(-1)) == "G minor"
    assert key_moved("", Interval(1)) == "G" and key_moved("Eb", Interval(0, 2)) == "Eb"
    with pytest.raises(RequestError):
        key_moved("C#", Interval(1))


def test_what_does_not_fit_says_why() -> None:
    wide = solo("Violin: 4/4 G3q D5q B5q E6q")
    assert not fitting(wide, instrument_named("violin")).why_not
    assert "G3 to E6" in fitting(wide, instrument_named("double bass")).why_not
    score = Exercise(title="x", drills=(ExerciseDrill(score="a.xml"),))
    assert "scores" in fitting(score, instrument_named("viola")).why_not
    with pytest.raises(RequestError, match="banjo"):
        instrument_named("banjo")


def test_a_line_of_no_named_instrument_goes_by_octaves() -> None:
    made = fitted(solo("2/4 D5q A5q | D5h"), instrument_named("cello"))
    assert made.drills[0].pattern == "Cello: 2/4 D2q A2q | D2h"
    assert made.title == "x (cello)"


def test_clapping_is_for_everybody_and_has_no_range() -> None:
    exercise = ALL["clapping/three_over_two"]
    assert range_of_exercise(exercise) is None
    for one in INSTRUMENTS:
        assert is_for(exercise, one) and fitted(exercise, one) is exercise


def test_a_range_is_that_of_all_drills() -> None:
    one = solo("Violin: 2/4 D4q A4q").drills[0]
    two = replace(one, pattern="Violin: 2/4 G3+E5h")
    assert range_of_exercise(Exercise(title="x", drills=(one, two))) == ("G3", "E5")


def test_how_it_is_moved_is_told() -> None:
    told = {
        kind: fitting_told(fitting(ALL["bow/three_over_two_open_strings"], instrument_named(kind)))
        for kind in OPEN_STRINGS
    }
    assert told == {
        "violin": "as written",
        "viola": "a fifth lower",
        "cello": "an octave and a fifth lower",
        "double bass": "string by string",
    }


def test_the_opened_exercise_is_known_on_every_machine(tmp_path: Path) -> None:
    path = built_in_files()["bow/scale_in_triplets"]
    viola = instrument_named("viola")
    opened, _ = open_exercise(path, folders(tmp_path / "a"), viola)
    again, _ = open_exercise(path, folders(tmp_path / "b"), viola)
    written, _ = open_exercise(path, folders(tmp_path / "a"))
    assert opened.id == again.id != written.id
    assert opened.exercise.title == "A scale in triplets over eighths (viola)"
    assert opened.targets[0].part_name == "Viola"


def test_the_instrument_is_remembered(tmp_path: Path) -> None:
    here = folders(tmp_path)
    assert my_instrument(here) is None
    chosen = next_instrument(None)
    assert chosen and choose_instrument(here, chosen) is None
    assert my_instrument(here) == chosen
    for _ in INSTRUMENTS:
        chosen = next_instrument(chosen)
    assert chosen is None and choose_instrument(here, chosen) is None
    assert my_instrument(here) is None
