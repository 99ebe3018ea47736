"""What each sign on the map is, and that every piece keeps its columns."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from companion.session.score_chart import ChartCell
from companion.tui.widgets import map_lines
from companion.tui.widgets.map_lines import WIDTH

NAMES = st.text(st.characters(codec="utf-8", exclude_categories=("C", "M", "Z")), max_size=12)


def test_a_bar_that_plays_is_a_line_and_a_rest_is_a_dot() -> None:
    assert map_lines.part_cell(ChartCell(True, "2/4", False)) == "━━━━ "
    assert map_lines.part_cell(ChartCell(False, "2/4", False)) == " ·   "


def test_a_meter_stands_where_it_changes_and_still_tells_playing_from_resting() -> None:
    assert map_lines.part_cell(ChartCell(True, "6/8", True)) == "6/8━ "
    assert map_lines.part_cell(ChartCell(False, "6/8", True)) == "6/8· "
    assert map_lines.part_cell(ChartCell(True, "3/8+2/4", True)) == "3/8+…"


def test_in_a_conflict_each_side_shows_into_how_many_it_divides() -> None:
    assert map_lines.part_cell(ChartCell(True, "6/8", False), "3") == "━3━━ "
    assert map_lines.part_cell(ChartCell(True, "4/4", False), "16") == "━16━ "
    assert map_lines.part_cell(ChartCell(False, "2/4", False), "2") == "·2·  "


def test_a_part_that_has_ended_leaves_its_bars_empty() -> None:
    assert map_lines.part_cell(ChartCell(False, "", False)) == "     "


def test_a_selection_runs_through_the_bar_numbers() -> None:
    assert map_lines.number_cell("14", is_selected=True) == "14═══"
    assert map_lines.number_cell("14", is_selected=False) == "14   "


def test_a_conflict_spans_its_bars_and_is_heavy_where_my_part_is_in_it() -> None:
    assert map_lines.bracket("3:2", " beat", 3, is_mine=True) == "[3:2 beat━━━━━]"
    assert map_lines.bracket("3:2", " beat", 3, is_mine=False) == "[3:2 beat─────]"
    assert map_lines.bracket("3:2", " beat", 1, is_mine=True) == "[3:2]"


def test_a_conflict_that_goes_on_beyond_the_screen_says_so() -> None:
    told = map_lines.bracket("3:2", " bar", 2, is_mine=False, begins=False, ends=False)
    assert told == "‹3:2 bar─›"


def test_rehearsal_marks_stand_above_their_bars() -> None:
    assert map_lines.mark_row({2: "A", 4: "B", 99: "Z"}, 1, 4) == "     A         B    "


@given(
    st.builds(ChartCell, st.booleans(), NAMES, st.booleans()),
    st.sampled_from(["", ".", *map(str, range(2, 17))]),
)
def test_a_bar_always_takes_its_five_columns(cell: ChartCell, division: str) -> None:
    if not cell.meter:
        cell = ChartCell(cell.plays, "", False)
    assert cell_len(map_lines.part_cell(cell, division)) == WIDTH


@given(NAMES, st.booleans())
def test_a_number_always_takes_its_five_columns(label: str, chosen: bool) -> None:
    assert cell_len(map_lines.number_cell(label, is_selected=chosen)) == WIDTH


@given(st.integers(2, 16), st.integers(2, 16), st.integers(1, 30), st.booleans(), st.booleans())
def test_a_conflict_never_leaves_its_bars(m: int, n: int, bars: int, b: bool, e: bool) -> None:
    told = map_lines.bracket(f"{m}:{n}", " beat", bars, is_mine=b, begins=b, ends=e)
    assert cell_len(told) == bars * WIDTH


@given(st.dictionaries(st.integers(1, 60), NAMES), st.integers(1, 40), st.integers(1, 25))
def test_marks_never_leave_their_row(marks: dict[int, str], first: int, count: int) -> None:
    assert cell_len(map_lines.mark_row(marks, first, count)) == count * WIDTH


@given(st.data(), st.integers(2, 2000))
def test_the_whole_score_fits_its_line(data: st.DataObject, bars: int) -> None:
    first = data.draw(st.integers(1, bars))
    last = data.draw(st.integers(first, bars))
    width = data.draw(st.integers(4, 120))
    signs = map_lines.whole_score(bars, {}, range(first, last + 1), width)
    row = [sign for sign, _ in signs]
    assert len(row) == width
    assert row.count("[") == row.count("]") == 1
    assert row.index("[") < row.index("]")
