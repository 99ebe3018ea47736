"""The map in columns: who plays where, in which meter, and no conflict over another."""

from fractions import Fraction
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from companion.files.folders import demo_score
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.findings.periods import Period, periods
from companion.score.model import Note, Part, PartBar, Score
from companion.score.readers.opening import Opened, read_score
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from companion.session.score_chart import (
    Meaning,
    chart,
    finding_meant,
    in_rows,
    next_finding,
    only_mine,
    previous_finding,
    span_meant,
)
from tests.findings.music import texture

SPANS = st.lists(st.tuples(st.integers(1, 60), st.integers(0, 12)), max_size=25)


def demo(part: str | None = None) -> OpenScore:
    return laid_with_choices(read_score(demo_score()), Choices(part))


def conflict(first: int, last: int) -> Conflict:
    return Conflict(first, last, (3, 2), "beat", "meter", (Side(3, ("P1",)), Side(2, ("P2",))))


def test_where_parts_part_ways_every_part_shows_its_meter() -> None:
    open_score = demo()
    cells = [row[14 - 1] for row in chart(open_score).cells]
    assert [cell.meter for cell in cells] == ["2/4", "2/4", "6/8", "6/8"]
    assert all(cell.shows_meter for cell in cells)


def test_where_parts_come_together_only_the_changed_ones_show_their_meter() -> None:
    cells = [row[22 - 1] for row in chart(demo()).cells]
    assert {cell.meter for cell in cells} == {"2/4"}
    assert [cell.shows_meter for cell in cells] == [False, False, True, True]


def test_a_whole_bar_rest_does_not_play() -> None:
    open_score = demo()
    slack_water = [row[36 - 1].plays for row in chart(open_score).cells]
    assert slack_water[0] is False
    assert slack_water[3] is True


def test_a_pickup_makes_printed_numbers_differ_from_counted_ones() -> None:
    assert chart(demo()).labels[13] == "13"
    assert chart(demo()).labels[:3] == ("0", "1", "2")


def test_every_bar_of_a_conflict_knows_it() -> None:
    open_score = demo()
    at = chart(open_score).at
    first = open_score.conflicts[0]
    assert all(first in at[number] for number in range(first.first, first.last + 1))
    assert first.first - 1 not in at


def test_barlines_that_travel_apart_still_show_who_plays() -> None:
    """Polymeter: five eighths against four, the eighth in common; the lower part's second
    bar begins inside the upper part's first and is all there is to hear in its second."""
    eight = tuple(PartBar(str(n), "4/8", 24, (Note(0, 24, "D4"),), is_free=True) for n in (1, 2))
    five = (PartBar("1", "5/8", 30, (Note(0, 30),)), PartBar("2", "5/8", 30, (Note(0, 30, "A4"),)))
    score = Score("Study", "", 12, (Part("P1", "Upper", five), Part("P2", "Lower", eight)))
    open_score = laid_with_choices(Opened(score, "5e" * 16, Path("study.musicxml")), Choices())
    assert not open_score.clock.barlines_coincide
    upper, lower = chart(open_score).cells
    assert [cell.plays for cell in upper] == [False, True]
    assert [cell.plays for cell in lower] == [True, True]
    assert open_score.clock.places[1][1].start == Fraction(4, 5) * open_score.clock.bars[0].length


@given(SPANS)
def test_no_conflict_lies_over_another_in_its_row(spans: list[tuple[int, int]]) -> None:
    given_conflicts = sorted(
        (conflict(first, first + more) for first, more in spans), key=lambda c: (c.first, c.last)
    )
    rows = in_rows(given_conflicts)
    assert sorted((c for row in rows for c in row), key=lambda c: (c.first, c.last)) == (
        given_conflicts
    )
    for row in rows:
        assert all(a.last < b.first for a, b in zip(row, row[1:], strict=False))


@given(SPANS)
def test_there_are_no_more_rows_than_conflicts_at_once(spans: list[tuple[int, int]]) -> None:
    """The fewest rows that serve are the most conflicts in any one bar (interval graphs are
    perfect; from memory)."""
    found = sorted((conflict(first, first + more) for first, more in spans), key=lambda c: c.first)
    at_once = max((sum(c.first <= bar <= c.last for c in found) for bar in range(1, 80)), default=0)
    assert len(in_rows(found)) == at_once


def test_a_selection_comes_before_a_conflict_and_a_conflict_before_four_bars() -> None:
    open_score = demo()
    columns = chart(open_score)
    meant = span_meant(open_score, columns, 15, range(15, 18))
    assert (meant.first, meant.last, meant.why) == (15, 17, Meaning.SELECTION)
    meant = span_meant(open_score, columns, 15, range(0))
    assert (meant.first, meant.last, meant.why) == (14, 21, Meaning.CONFLICT)
    meant = span_meant(open_score, columns, 5, range(0))
    assert (meant.first, meant.last, meant.why) == (5, 8, Meaning.HERE)


def test_four_bars_from_near_the_end_are_those_there_are() -> None:
    open_score = demo()
    meant = span_meant(open_score, chart(open_score), len(open_score.clock.bars) - 1, range(0))
    assert meant.last - meant.first + 1 == 2


def test_of_two_conflicts_the_one_with_my_part_is_meant() -> None:
    theirs = Conflict(1, 2, (3, 2), "beat", "rhythm", (Side(3, ("P1",)), Side(2, ("P2",))))
    mine = Conflict(1, 1, (4, 3), "beat", "rhythm", (Side(4, ("P1",)), Side(3, ("P4",))))
    open_score = demo("P4")
    columns = chart(open_score)
    columns.at[1] = (theirs, mine)
    assert finding_meant(open_score, columns, 1) == mine
    assert finding_meant(demo(), columns, 1) == theirs


def test_what_pulls_is_visited_forward_and_back() -> None:
    open_score = demo()
    columns = chart(open_score, open_score.periods)
    firsts = list(dict.fromkeys(found.first for found in columns.found))
    found = next_finding(columns, firsts[0])
    assert found is not None and found.first == firsts[1]
    found = previous_finding(columns, firsts[1])
    assert found is not None and found.first == firsts[0]
    assert next_finding(columns, firsts[-1]) is None
    assert previous_finding(columns, firsts[0]) is None


def test_a_hemiola_that_my_part_answers_is_mine_in_map_and_study() -> None:
    """The viola of the demo strikes after each of the cello's three quarters in bars 14, 16 and
    18, and neither does in 15 and 17; bars by position are one more."""
    opened = demo("P3")
    mine = only_mine(chart(opened, opened.periods), "P3")
    (hemiola,) = [one for one in mine.found if isinstance(one, Period) and one.kind == "hemiola"]
    assert (hemiola.first, hemiola.last, hemiola.parts) == (14, 19, ("P4",))
    theirs = only_mine(chart(opened, opened.periods), "P1")
    assert hemiola not in theirs.found


def test_a_period_of_mine_comes_before_a_conflict_of_others() -> None:
    theirs = Conflict(1, 2, (3, 2), "beat", "rhythm", (Side(3, ("P1",)), Side(2, ("P2",))))
    (mine,) = periods(texture("3/4", P4="h60 h62 h64"), ())
    columns = chart(demo("P4"))
    columns.at[1] = (theirs, mine)
    assert finding_meant(demo("P4"), columns, 1) == mine
    meant = span_meant(demo("P4"), columns, 1, range(0))
    assert (meant.first, meant.last, meant.why) == (1, 2, Meaning.PERIOD)
