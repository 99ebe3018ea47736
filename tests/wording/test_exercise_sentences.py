"""What a student reads of an exercise: plain text, notes over counts, never the file's own words.

How bars are counted (1 & 2 &, 1 la li) is common practice, no source.
"""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import gettempdir

import pytest

from companion.exercise.instruments import instrument_named
from companion.files.folders import Folders
from companion.session.open_exercise import CheckedExercise, built_in_files, check_exercise
from companion.wording.exercise_sentences import exercise_told, instructions_told
from companion.wording.notes_told import notes_told

NOWHERE = Folders(Path(gettempdir(), "nobody"), Path(gettempdir(), "nobody", "cache"))


def written(tmp_path: Path, pattern: str, instructions: str = "Play it.") -> CheckedExercise:
    path = tmp_path / "x.toml"
    path.write_text(
        f'format = 3\ntitle = "A study"\ninstructions = """{instructions}"""\n'
        f'[[drill]]\npattern = """\n{pattern}\n"""\n'
    )
    return check_exercise(path, NOWHERE)


def notes(tmp_path: Path, pattern: str, width: int = 78) -> list[str]:
    (drill,) = written(tmp_path, pattern).drills
    return list(notes_told(drill.passage, drill.conflicts, width))


def test_notes_stand_over_their_counts(tmp_path: Path) -> None:
    assert notes(tmp_path, "Violin: 2/4 D4e3 E4e3 F#4e3 G4q | rq A4+D5e B4e\nTap: 2/4 e*4 | -") == [
        "Violin  │ D4 E4 F#4 G4 │ · A4+D5 B4 │",
        "        │ 1  la li  2  │ 1 2     &  │",
        "Tap     │ × × × ×      │ · ·        │",
        "        │ 1 & 2 &      │ 1 2        │",
    ]


def test_what_divides_the_bar_is_counted_by_its_own_number(tmp_path: Path) -> None:
    lines = notes(tmp_path, "Clap: 2/4 e5*5 | h\nStep: 2/4 q q | h")
    assert lines[:2] == ["Clap  │ × × × × × │ × ━ │", "      │ 1 2 3 4 5 │ 1 2 │"]


def test_a_pickup_is_counted_as_the_end_of_its_bar(tmp_path: Path) -> None:
    assert notes(tmp_path, "Viola: 6/8 up A4e | D5q. rq A4e") == [
        "Viola  │ A4 │ D5 ━ ━ · · A4 │",
        "       │ 6  │ 1  2 3 4 5 6  │",
    ]


def test_a_triplet_over_half_a_bar_leaves_the_other_half_its_beats(tmp_path: Path) -> None:
    _, count, *_ = notes(tmp_path, "Clap: 4/4 q3*3 q q\nStep: 4/4 q q q q")
    assert count.split("│")[1].split()[-2:] == ["3", "4"]


def test_barlines_that_travel_stand_in_their_own_lines(tmp_path: Path) -> None:
    lines = notes(tmp_path, "Violin: 3/4 A4h. | A4h.\nTap: 2/4 h | h | h")
    assert [line.count("│") - 1 for line in lines] == [2, 2, 3, 3]


@pytest.mark.parametrize("width", [60, 78, 140])
def test_no_line_is_wider_than_it_may_be(width: int) -> None:
    for name in ("together/three_in_sixteenths", "bow/four_in_the_beat"):
        checked = check_exercise(built_in_files()[name], NOWHERE)
        assert max(map(len, exercise_told(checked, width))) <= width


@pytest.mark.parametrize("name", sorted(built_in_files()))
def test_no_sheet_shows_a_pattern_or_markdown(name: str) -> None:
    told = "\n".join(exercise_told(check_exercise(built_in_files()[name], NOWHERE)))
    assert not re.search(r"\b[A-G]?#?[0-9]?[whqest]3?\*\d|rhythm:|%|`|\*\w", told)
    assert "range" in told or "clapping" in name


def test_a_sheet_for_an_instrument_is_that_instruments() -> None:
    path = built_in_files()["bow/four_over_three"]
    told = "\n".join(exercise_told(check_exercise(path, NOWHERE, instrument_named("viola"))))
    assert "Four over three in a scale (viola)" in told
    assert "range F#3–A4" in told and "Viola  │" in told


def test_markdown_is_read_not_shown() -> None:
    told = instructions_told(
        "# Before you begin\nLearn your line *without* the\nothers **first**.\n\n"
        "- Monday: `slowly`\n- from Wednesday: only theirs\n  and nothing else\n\n"
        "2. snake_case_stays"
    )
    assert told == [
        "Before you begin",
        "Learn your line without the others first.",
        "",
        "• Monday: slowly",
        "• from Wednesday: only theirs and nothing else",
        "",
        "2. snake_case_stays",
    ]
