"""What is seen of a passage as notes, as plain characters."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from textual.geometry import Size

from companion.score.model import Mark, Note, Part, PartBar, Score
from companion.score.staff import Clef, height_of
from companion.session.lanes import first_facing, lanes_of
from companion.tui.widgets.lane_rows import LaneGrid
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.staff_rows import LEAST_HEIGHT, staff_grid
from companion.tui.widgets.staff_signs import ASCII, UNICODE, StaffSigns, signs_for
from tests.session.small_scores import opened_for_practice, three_against_two, whole

CLEFS = {"G2": Clef("G", 2), "C3": Clef("C", 3), "C4": Clef("C", 4), "F4": Clef("F", 4)}


def score_with(
    *notes: Note, clef: str = "C3", fifths: int = 0, marks: tuple[Mark, ...] = ()
) -> Score:
    """One bar of 4/4 for viola, 12 ticks to the quarter."""
    bar = PartBar("1", "4/4", 48, notes, (Mark(0, "clef", clef), *marks), fifths=fifths)
    return Score("A study", "", 12, (Part("P1", "Viola", (bar,)),))


def grid(score: Score, width: int = 80, height: int = 24, signs: StaffSigns = UNICODE) -> LaneGrid:
    chosen = whole(opened_for_practice(score))
    return staff_grid(lanes_of(chosen, (), 0), width, height, signs)


@given(
    st.lists(st.sampled_from(["C4", "B2", "C3", "A5", "E6", "F#4"]), min_size=1, max_size=8),
    st.integers(LEAST_HEIGHT, 20),
)
def test_no_row_of_notes_is_cut_off_where_there_are_few(pitches: list[str], height: int) -> None:
    length = 48 // len(pitches)
    notes = (Note(at * length, length, pitch) for at, pitch in enumerate(pitches))
    shown = PassageLanes(lanes_of(whole(opened_for_practice(score_with(*notes))), (), 0))
    rows = shown.laid_out(Size(80, height))
    assert rows.height - 1 <= height


def lines(shown: LaneGrid) -> list[str]:
    return [row.text.rstrip() for row in shown.systems[0] if row.role == "staff-mine"]


def test_a_bar_for_viola_as_it_is_seen() -> None:
    # Down-bow on C, F sharp and E natural under one beam, a quarter rest, then B on the C string:
    # sharp at the note because the key has none, natural because the key has B flat.
    notes = (
        Note(0, 12, "C4", marks=("down-bow",)),
        Note(12, 6, "F#4", begins_beam=True, marks=("up-bow",)),
        Note(18, 6, "E4"),
        Note(24, 12),
        Note(36, 12, "B2"),
    )
    assert lines(grid(score_with(*notes, fifths=-1), width=48, height=16)) == [
        "               ⊓       V",
        " ──────────────────────────────────────────────┬",
        "                      ♯●                       │",
        " ───────────4──────────│───●───────────────────┼",
        "                       │   │                   │",
        " C─────────────●───────│───│───ξ───────────────┼",
        "   ♭           │       └───┘                   │",
        " ───────────4──│───────────────────────────────┼",
        "               │                               │",
        " ──────────────────────────────────────────────┴",
        "                                       │",
        "                                      ─│─",
        "                                       │",
        "                                      ♮●─",
    ]


@given(st.sampled_from(sorted(CLEFS)), st.sampled_from("CDEFGAB"), st.integers(2, 5))
def test_every_pitch_in_reach_stands_on_its_row(clef: str, letter: str, octave: int) -> None:
    """Rows are counted from the bottom line, which is drawn from end to end."""
    height = height_of(f"{letter}{octave}", CLEFS[clef])
    shown = lines(grid(score_with(Note(0, 48, f"{letter}{octave}"), clef=clef), height=40))
    drawn = [row for row, text in enumerate(shown) if text[9:10] == "─"]
    assert len(drawn) == 5
    head = next(row for row, text in enumerate(shown) if "○" in text)
    assert drawn[-1] - head == height


def test_a_note_no_row_is_left_for_is_written_as_a_name() -> None:
    shown = lines(grid(score_with(Note(0, 24, "C3"), Note(24, 24, "G6")), height=12))
    assert any("G6" in line for line in shown)


def test_such_a_name_keeps_its_accidental_beside_its_neighbours() -> None:
    low = [Note(3 * at, 3, pitch) for at, pitch in enumerate(("Ab2", "Bb2", "Ab2", "Bb2"))]
    shown = "\n".join(lines(grid(score_with(*low, Note(12, 36, "D6")), width=60, height=11)))
    assert shown.count("Ab") == 2
    assert shown.count("Bb") == 2


def test_a_bar_too_high_for_its_rows_is_written_an_octave_lower_and_says_so() -> None:
    notes = (Note(0, 16, "F5", tuplet=(3, 2)), Note(16, 16, "G5", tuplet=(3, 2)))
    shown = lines(grid(score_with(*notes, Note(32, 16, "E5", tuplet=(3, 2))), height=12))
    assert any("8va" in line for line in shown)


def test_coinciding_notes_of_two_staves_stand_in_one_column() -> None:
    chosen = whole(opened_for_practice(three_against_two().score))
    conflicts = three_against_two().conflicts
    shown = staff_grid(
        lanes_of(chosen, conflicts, first_facing(chosen, conflicts)), 140, 40, UNICODE
    )
    heads = {
        role: {
            column
            for row in shown.systems[0]
            if row.role == role
            for column, sign in enumerate(row.text)
            if sign == "●" and column > shown.gutter
        }
        for role in ("staff-mine", "staff-facing")
    }
    together = next(row.text for row in shown.systems[0] if row.role == "together")
    meeting = {column for column, sign in enumerate(together) if sign == "┃"}
    assert meeting and meeting == heads["staff-mine"] & heads["staff-facing"]


@pytest.mark.parametrize("height", range(LEAST_HEIGHT, 40))
def test_at_every_height_my_staff_is_whole(height: int) -> None:
    chosen, conflicts = whole(three_against_two()), three_against_two().conflicts
    shown = staff_grid(lanes_of(chosen, conflicts, 1), 80, height, UNICODE)
    rows = [row.role for row in shown.systems[0]]
    assert rows.count("staff-mine") >= 9
    assert len(rows) - 1 <= height
    assert rows[0] == "bars"


@pytest.mark.parametrize("signs", [UNICODE, ASCII], ids=["unicode", "ascii"])
def test_every_sign_is_one_column_and_never_combines(signs: StaffSigns) -> None:
    told = "".join("".join(one.values() if hasattr(one, "values") else one) for one in signs)
    for sign in told:
        assert cell_len(sign) == 1
        assert not unicodedata.combining(sign)
        assert ord(sign) < 0x10000  # common terminal fonts end there
    if signs is ASCII:
        assert told.isascii()


def test_the_encoding_of_the_terminal_decides(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    assert signs_for("utf-8") is UNICODE
    assert signs_for("ascii") is ASCII
    assert signs_for(None) is ASCII
    monkeypatch.setenv("TERM", "linux")
    assert signs_for("utf-8") is ASCII
