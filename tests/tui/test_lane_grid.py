"""What is seen of a passage, as plain characters."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.session.lanes import Lanes, first_facing, lanes_of
from companion.session.open_score import OpenScore
from companion.tui.widgets.lane_rows import LaneGrid, lane_grid
from tests.score.written import score, score_of
from tests.session.small_scores import opened_for_practice, three_against_two, whole


def lanes(open_score: OpenScore, part: int = 0) -> Lanes:
    chosen = whole(open_score, part)
    return lanes_of(chosen, open_score.conflicts, first_facing(chosen, open_score.conflicts))


def drawn(open_score: OpenScore, width: int = 80, height: int = 20, part: int = 0) -> LaneGrid:
    return lane_grid(lanes(open_score, part), width, height)


def rows(shown: LaneGrid, system: int = 0) -> dict[str, str]:
    return {row.role: row.text.rstrip() for row in shown.systems[system]}


def test_one_sees_three_against_two() -> None:
    open_score = opened_for_practice(
        score_of({"Violin": "6/8 e e e e e e", "Cello": "2/4 e e e e"})
    )
    assert [row.text.rstrip() for row in drawn(open_score, width=45, height=6).systems[0]] == [
        "           1",
        "  in 3     │    1   2   3   1   2   3   │",
        "● Violin   │6/8 ◆A4━◆A4━◆A4━◆A4━◆A4━◆A4━│",
        "  together │    ┃   ╵ ╷ ╵   ┃   ╵ ╷ ╵   │",
        "○ Cello    │2/4 ◆A4━━━◆A4━━━◆A4━━━◆A4━━━│",
        "  in 2     │    1     2     1     2     │",
        "",
    ]


@pytest.mark.parametrize(
    ("more", "fewer", "durations"),
    [
        (3, 2, [2, 1, 1, 2]),
        (4, 3, [3, 1, 2, 2, 1, 3]),
        (5, 2, [2, 2, 1, 1, 2, 2]),
        (5, 3, [3, 2, 1, 3, 1, 2, 3]),
        (5, 4, [4, 1, 3, 2, 2, 3, 1, 4]),
        (7, 2, [2, 2, 2, 1, 1, 2, 2, 2]),
        (7, 3, [3, 3, 1, 2, 3, 2, 1, 3, 3]),
        (7, 4, [4, 3, 1, 4, 2, 2, 4, 1, 3, 4]),
        (7, 5, [5, 2, 3, 4, 1, 5, 1, 4, 3, 2, 5]),
        (8, 3, [3, 3, 2, 1, 3, 3, 1, 2, 3, 3]),
    ],
)
def test_the_row_between_shows_the_published_resultant(
    more: int, fewer: int, durations: list[int]
) -> None:
    # J. Schillinger, The Schillinger System of Musical Composition (1946), Book I: durations
    # of the resultant over the common cycle, as reproduced in a course text on it.
    open_score = opened_for_practice(
        score(V=f"{more}/4 " + "q " * more, C=f"{fewer}/4 " + "q " * fewer)
    )
    shown = drawn(open_score, width=140)
    cell = shown.columns.systems[0][0]
    row = next(row for row in shown.systems[0] if row.role == "together").text
    struck = [column for column in range(cell.begin, cell.end) if row[column] in "┃╵╷"]
    unit = Fraction(cell.end - cell.begin, more * fewer)
    assert [(b - a) / unit for a, b in pairwise([*struck, cell.end])] == durations
    assert row[cell.begin] == "┃"


@given(
    st.lists(st.sampled_from(["6/8 q. q.", "2/4 e3 e3 e3 q", "3/4 q e e q", "2/4 s s e q"])),
    st.integers(40, 160),
    st.integers(4, 50),
)
def test_cuts_and_notes_stand_on_the_very_column_of_their_moment(
    bars: list[str], width: int, height: int
) -> None:
    open_score = opened_for_practice(
        score(V="6/8 q. q. | " + " | ".join([*bars, "2/4 h"]), C="2/4 h")
    )
    shown = drawn(open_score, width, height)
    columns = shown.columns
    for cell in (cell for system in columns.systems for cell in system):
        bar, ruling = columns.lanes.bars[cell.bar], columns.lanes.rulings[cell.bar]
        assert cell.end <= width
        for cut in (*ruling.upper, *ruling.lower):
            exact = cell.begin + (cut.at - bar.start) * columns.scale
            assert not columns.is_exact or columns.column(cell, cut.at) == exact
            assert cell.begin <= columns.column(cell, cut.at) < cell.end


def test_too_narrow_a_screen_says_that_it_rounds() -> None:
    open_score = opened_for_practice(score(V="7/4 " + "q " * 7, C="5/4 " + "q " * 5))
    assert "rounded" not in rows(drawn(open_score, width=140))["bars"]
    assert "≈ rounded" in rows(drawn(open_score, width=40))["bars"]


def test_every_row_is_as_wide_as_the_screen_at_most() -> None:
    for width in (40, 80, 140):
        shown = drawn(three_against_two(bars=9), width=width)
        assert max(len(row.text) for system in shown.systems for row in system) <= width


def test_bars_are_never_broken_across_systems() -> None:
    shown = drawn(three_against_two(bars=9), width=80, height=9)
    assert [cell.bar for system in shown.columns.systems for cell in system] == list(range(9))
    assert len(shown.columns.systems) > 1


def test_a_passage_that_fits_is_drawn_as_wide_as_it_can_be() -> None:
    one, four = (drawn(three_against_two(bars)).columns.scale for bars in (1, 4))
    assert one == 24
    assert four < one


def test_meters_are_shown_at_the_opening_and_where_they_change() -> None:
    open_score = opened_for_practice(score(V="6/8 * | * | 2/4 *", C="2/4 * | * | *"))
    mine = rows(drawn(open_score, width=100, height=8))["mine"]
    assert mine.count("6/8") == 1
    assert mine.count("2/4") == 1


def test_a_tie_over_the_barline_shows_a_line_and_no_new_note() -> None:
    from msgspec.structs import replace

    from companion.score.model import TIE_STOPS

    written = score(V="2/4 h | h", C="2/4 h | h")
    part = written.parts[0]
    second = replace(part.bars[1], notes=(replace(part.bars[1].notes[0], tie=TIE_STOPS),))
    open_score = opened_for_practice(
        replace(written, parts=(replace(part, bars=(part.bars[0], second)), written.parts[1]))
    )
    shown = drawn(open_score, height=4)
    second_bar = shown.columns.systems[0][1]
    mine = rows(shown)["mine"]
    assert set(mine[second_bar.begin : second_bar.end]) == {"━"}


def test_the_beats_of_a_rest_are_dots() -> None:
    mine = rows(drawn(opened_for_practice(score(V="2/4 rq rq", C="2/4 h"))))["mine"]
    assert mine.count("·") == 2
    assert "◆" not in mine


def test_a_name_never_covers_silence() -> None:
    open_score = opened_for_practice(
        score_of({"Violin": "6/8 e re re e re re", "Cello": "2/4 e e e e"})
    )
    mine = rows(drawn(open_score, width=45, height=6))["mine"]
    assert mine == "● Violin   │6/8 ◆A4━          ◆A4━          │"


def test_a_large_score_says_how_many_lanes_there_is_no_room_for() -> None:
    open_score = opened_for_practice(score_of({f"Part {n}": "2/4 q q" for n in range(1, 21)}))
    shown = drawn(open_score, height=10)
    assert shown.height <= 11
    assert rows(shown)["more"] == "  … and 12 more parts"


def test_names_too_long_for_the_margin_are_cut() -> None:
    open_score = opened_for_practice(
        score_of({"Violoncello di ripieno": "2/4 q q", "Basso": "2/4 h"})
    )
    shown = drawn(open_score)
    assert rows(shown)["mine"].startswith("● Violoncello…")
    assert {row.text[shown.gutter] for row in shown.systems[0][1:-1]} == {"│"}


def test_barlines_of_its_own_are_drawn_inside_the_bars_of_the_score() -> None:
    open_score = opened_for_practice(
        score(
            V="3/4 q q q | q q q | q q q | q q q",
            C="4/4 w | w | w",
            free=frozenset({"C"}),
        )
    )
    assert not open_score.clock.barlines_coincide
    shown = drawn(open_score, width=140, height=4)
    assert rows(shown)["facing"].count("╎") == 2
    assert rows(shown)["facing"].count("│") == 2
    assert rows(shown)["mine"].count("│") == 5


def test_the_playhead_is_found_in_its_system() -> None:
    columns = drawn(three_against_two(bars=9), width=80, height=9).columns
    second = columns.systems[1][0]
    assert columns.find(Fraction(second.bar * 2)) == (1, second.begin)
    assert columns.find(columns.lanes.bars[-1].end) is None
