"""A whole screen of the map as text: what a player reads without colour."""

from collections.abc import Callable
from pathlib import Path

from companion.files.folders import Folders
from companion.findings.periods import Period
from companion.session.open_score import OpenScore, open_for_practice
from companion.session.score_chart import chart
from companion.tui.widgets.map_lines import KINDS, MapView, kind_sign, map_lines, whole_score

Laid = Callable[..., OpenScore]


def read(
    open_score: OpenScore, bars: range, parts: range | None = None, **pointed: int
) -> list[str]:
    columns = chart(open_score)
    view = MapView(
        open_score,
        columns,
        bars,
        parts or range(len(columns.cells)),
        pointed.get("bar", bars.start),
        pointed.get("part", 0),
        range(pointed.get("first", 0), pointed.get("end", 0)),
    )
    drawn = map_lines(view)
    assert {kind for line in drawn for _, kind in line} <= KINDS
    return ["".join(text for text, _ in line).rstrip() for line in drawn]


def test_six_eight_stands_beside_two_four_with_three_against_two_above(laid: Laid) -> None:
    open_score = laid(
        {"Violin I": "6/8 6/8 2/4 2/4 6/8", "Cello": "6/8 6/8r 6/8 6/8r 6/8"},
        mine="P2",
        letters={3: "A"},
    )
    assert read(open_score, range(1, 6)) == [
        "                           A",
        "  bar            1    2    3    4    5",
        "  what pulls               [3:2](3:2)",
        "  Violin I       6/8━ ━━━━ 2/4━ ━━━━ 6/8━",
        "● Cello          6/8━  ·   6/8━  ·   ━━━━",
        "",
    ]


def test_scrolled_in_a_part_shows_the_meter_it_is_in(laid: Laid) -> None:
    open_score = laid({"Violin I": "6/8 6/8 6/8 6/8", "Cello": "2/4 2/4 2/4 2/4"})
    screen = read(open_score, range(2, 4))
    assert screen[3] == "  Violin I 6/8   ━3━━ ━3━━"
    assert screen[4] == "  Cello    2/4   ━2━━ ━2━━"


def test_what_is_cut_by_the_edge_of_the_screen_says_that_it_goes_on(laid: Laid) -> None:
    open_score = laid({"Violin I": "6/8 6/8 6/8 6/8", "Cello": "2/4 2/4 2/4 2/4"})
    assert read(open_score, range(2, 4))[2] == "  what pulls     ‹3:2─────›"
    assert read(open_score, range(2, 4))[-1].startswith("  whole score")


def test_bars_have_their_printed_numbers_else_their_places(laid: Laid) -> None:
    open_score = laid({"Viola": "2/4 2/4 2/4 2/4 2/4"}, labels=["0", "1", "2", "2", "3"])
    assert read(open_score, range(1, 6))[1] == "  bar          0    1    @3   @4   3"


def test_a_movement_is_named_where_it_begins(laid: Laid) -> None:
    open_score = laid(
        {"Viola": "2/4 2/4 2/4 2/4 2/4"}, labels=["1", "2", "1", "2", "3"], letters={3: "A"}
    )
    assert read(open_score, range(1, 6))[0] == "               I         II A"


def test_more_parts_than_fit_say_which_are_in_sight(laid: Laid) -> None:
    open_score = laid({f"Part {number}": "2/4" for number in range(1, 21)})
    assert read(open_score, range(1, 2), range(4, 9))[0].startswith("  parts 5–9 of")


def test_a_selection_is_seen_through_its_bars(laid: Laid) -> None:
    open_score = laid({"Viola": "2/4 2/4 2/4 2/4"})
    screen = read(open_score, range(1, 5), first=2, end=4)
    assert screen[1] == "  bar          1    2════3════4"


def test_only_what_is_in_sight_is_drawn(laid: Laid) -> None:
    """1,700 bars of 24 parts cost no more than the bars and parts on the screen."""
    open_score = laid({f"Part {number}": "6/8 " * 1700 for number in range(24)})
    columns = chart(open_score)
    drawn = map_lines(MapView(open_score, columns, range(900, 912), range(5, 13), 900, 5, range(0)))
    assert len(drawn) == 3 + 8
    assert max(len(line) for line in drawn) == 3 + 2 * 12


def test_the_line_of_the_whole_score_tells_kinds_apart(demo: Path, app_folders: Folders) -> None:
    """The built-in score, as assets/demo/music.py writes it: 6/8 beside 2/4 in bars 13 to 20 with
    a hemiola in it, off-beats in 21 to 24, three against two in 29 to 34."""
    open_score = open_for_practice(demo, app_folders)
    whole = chart(open_score, open_score.periods)
    count = len(whole.labels)
    viola = open_score.score.parts[2].id
    row = whole_score(count, whole.at, range(1, 11), count, viola)
    signs = "".join(sign for sign, _ in row)
    assert signs == "[········]···▪▪▪▪▪▪▪▪///▪···▪▪▪▪▪▪▪" + "·" * 26
    assert {kind for sign, kind in row if sign in "·[]"} == {"quiet"}
    assert row[13] == ("▪", "mine")
    hemiola = next(one for one in whole.found if isinstance(one, Period) and "hem" in one.kind)
    assert kind_sign(hemiola) == "≈"
    assert len({kind_sign(one) for one in whole.found}) == 3
