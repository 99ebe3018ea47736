"""Bars: their numbers, pickups, repeats, endings, multi-bar rests, voices and staves."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.score.laying import lay
from companion.score.model import PartBar, Score, Signs
from companion.score.readers.musicxml.reading import read_musicxml

BarsOf = Callable[..., tuple[PartBar, ...]]
ScoreOf = Callable[..., Score]

IN_FOUR = """<attributes><divisions>2</divisions>
  <time><beats>4</beats><beat-type>4</beat-type></time></attributes>"""


def note(pitch: str, duration: int, more: str = "") -> str:
    return (
        f"<note><pitch><step>{pitch[0]}</step><octave>{pitch[1]}</octave></pitch>"
        f"<duration>{duration}</duration>{more}</note>"
    )


def back(duration: int) -> str:
    return f"<backup><duration>{duration}</duration></backup>"


def forward(duration: int) -> str:
    return f"<forward><duration>{duration}</duration></forward>"


def heard(bar: PartBar) -> list[tuple[int, str, str]]:
    return [(note.onset, note.pitch, note.voice) for note in bar.notes]


# --- numbers and barlines ------------------------------------------------------


def test_a_pickup_is_as_long_as_what_is_in_it(bars_of: BarsOf) -> None:
    pickup = f'<measure number="0" implicit="yes">{IN_FOUR}{note("A4", 2)}</measure>'
    bars = bars_of(pickup, note("D5", 8))
    assert [(bar.label, bar.is_implicit, bar.filled) for bar in bars] == [
        ("0", True, 2),
        ("2", False, 8),
    ]


def test_a_displayed_number_wins_over_the_internal_one(bars_of: BarsOf) -> None:
    assert bars_of('<measure number="X1" text="12a"/>')[0].label == "12a"


def test_a_bar_without_a_number_gets_its_place(score_of: ScoreOf) -> None:
    score = score_of('<measure number="1"/>', "<measure/>")
    assert score.parts[0].bars[1].label == "2"
    assert (2, "Viola: bars without a number were given their place in the file") in score.slips


def test_a_bar_line_of_its_own_is_known(bars_of: BarsOf) -> None:
    assert bars_of('<measure number="1" non-controlling="yes"/>')[0].is_free


def test_a_multi_bar_rest_is_told_where_it_begins(bars_of: BarsOf) -> None:
    many = "<measure-style><multiple-rest>3</multiple-rest></measure-style>"
    rest = '<note><rest measure="yes"/><duration>8</duration></note>'
    bars = bars_of(IN_FOUR.replace("</attributes>", f"{many}</attributes>") + rest, rest, rest)
    assert [bar.rest_bars for bar in bars] == [3, 0, 0]
    assert [bar.filled for bar in bars] == [0, 0, 0]


# --- repeats ---------------------------------------------------------------------


def barline(inside: str, location: str = "right") -> str:
    return f'<barline location="{location}">{inside}</barline>'


FORWARD = '<repeat direction="forward"/>'
BACKWARD = '<repeat direction="backward"/>'


def ending(number: str, kind: str) -> str:
    return f'<ending number="{number}" type="{kind}"/>'


def test_a_whole_rest_in_a_pickup_says_how_long_it_is() -> None:
    rest = '<note><rest measure="yes"/><duration>{}</duration></note>'
    pickup = IN_FOUR + rest.format(2)
    data = (
        '<score-partwise><part-list><score-part id="P1"><part-name>Viola</part-name></score-part>'
        f'</part-list><part id="P1"><measure number="0" implicit="yes">{pickup}</measure>'
        f'<measure number="1">{rest.format(8)}</measure></part></score-partwise>'
    )
    clock = lay(read_musicxml(data.encode(), "untitled"))
    assert [str(bar.length) for bar in clock.bars] == ["1", "4"]


def test_a_repeated_stretch_with_two_endings(bars_of: BarsOf) -> None:
    # |: 1 | 2 [1.] :| 3 [2.] || 4 |
    bars = bars_of(
        barline(FORWARD, "left"),
        barline(ending("1", "start"), "left") + barline(ending("1", "stop") + BACKWARD),
        barline(ending("2", "start"), "left") + barline(ending("2", "discontinue")),
        "",
    )
    assert [bar.signs for bar in bars] == [
        Signs(repeat_starts=True),
        Signs(repeat_ends=2, ending=(1,)),
        Signs(ending=(2,)),
        None,
    ]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [("1,2", (1, 2)), ("1-3", (1, 2, 3)), ("1.", (1,)), ("", (0,)), (" ", (0,)), ("0", (0,))],
)
def test_the_numbers_of_an_ending(bars_of: BarsOf, text: str, numbers: tuple[int, ...]) -> None:
    bars = bars_of(barline(ending(text, "start"), "left") + barline(ending(text, "stop")))
    assert bars[0].signs == Signs(ending=numbers)


def test_an_ending_of_several_bars_and_numbers(bars_of: BarsOf) -> None:
    bars = bars_of(
        barline(ending("1, 2", "start"), "left"),
        "",
        barline(ending("1, 2", "stop") + '<repeat direction="backward" times="3"/>'),
        "",
    )
    assert [bar.signs.ending if bar.signs else () for bar in bars] == [(1, 2)] * 3 + [()]
    assert bars[2].signs == Signs(repeat_ends=3, ending=(1, 2))


def test_an_ending_nobody_closes_is_over_where_the_music_goes_back(bars_of: BarsOf) -> None:
    bars = bars_of(barline(ending("1", "start"), "left"), barline(BACKWARD), "")
    assert [bar.signs for bar in bars] == [
        Signs(ending=(1,)),
        Signs(repeat_ends=2, ending=(1,)),
        None,
    ]


def test_a_repeat_closed_at_the_next_left_barline_closes_the_bar_before(bars_of: BarsOf) -> None:
    bars = bars_of("", barline(BACKWARD, "left"))
    assert [bar.signs for bar in bars] == [Signs(repeat_ends=2), None]


def test_a_repeat_opened_at_a_right_barline_opens_the_next_bar(bars_of: BarsOf) -> None:
    bars = bars_of(barline(FORWARD), "")
    assert [bar.signs for bar in bars] == [None, Signs(repeat_starts=True)]


def test_a_repeat_also_taken_after_a_jump(bars_of: BarsOf) -> None:
    signs = bars_of(barline('<repeat direction="backward" after-jump="yes"/>'))[0].signs
    assert signs == Signs(repeat_ends=2, after_jump=True)


# --- voices and staves -----------------------------------------------------------


def test_two_voices_share_a_bar(bars_of: BarsOf) -> None:
    # voice 1: half, half; voice 2 from the second beat: quarter, half
    one, two = "<voice>1</voice>", "<voice>2</voice>"
    upper = note("C5", 4, one) + note("B4", 4, one)
    lower = back(8) + forward(2) + note("E4", 2, two) + note("F4", 4, two)
    bar = bars_of(IN_FOUR + upper + lower)[0]
    assert heard(bar) == [(0, "C5", "1"), (2, "E4", "2"), (4, "B4", "1"), (4, "F4", "2")]
    assert bar.filled == 8


def test_a_chord_stays_together_among_voices(bars_of: BarsOf) -> None:
    one, two = "<voice>1</voice>", "<voice>2</voice>"
    chord = note("C5", 8, one) + note("E5", 8, one).replace("<note>", "<note><chord/>")
    bar = bars_of(IN_FOUR + chord + back(8) + note("A3", 8, two))[0]
    assert heard(bar) == [(0, "C5", "1"), (0, "E5", "1"), (0, "A3", "2")]
    assert [note.in_chord for note in bar.notes] == [False, True, False]


def test_staves_are_counted_and_told(score_of: ScoreOf) -> None:
    score = score_of(
        "<attributes><staves>2</staves></attributes>"
        + note("C5", 4, "<staff>1</staff>")
        + back(4)
        + note("C3", 4, "<staff>2</staff>")
    )
    assert score.parts[0].staves == 2
    assert [note.staff for note in score.parts[0].bars[0].notes] == [1, 2]


def test_going_back_too_far_stops_at_the_barline(score_of: ScoreOf) -> None:
    score = score_of(IN_FOUR + note("C4", 2) + back(6) + note("D4", 2))
    assert [note.onset for note in score.parts[0].bars[0].notes] == [0, 0]
    assert score.slips == ((1, "Viola: a voice began before the barline and was moved onto it"),)


def test_an_unwritten_rest_counts_as_contents(bars_of: BarsOf) -> None:
    assert bars_of(IN_FOUR + note("C4", 2) + forward(6))[0].filled == 8


def test_a_bar_may_be_longer_or_shorter_than_its_meter(bars_of: BarsOf) -> None:
    bars = bars_of(IN_FOUR + note("C4", 9), note("D4", 1), "")
    assert [bar.filled for bar in bars] == [9, 1, 0]


@pytest.mark.parametrize("count", [1, 3])
def test_the_same_slip_is_told_once(score_of: ScoreOf, count: int) -> None:
    score = score_of(IN_FOUR, *[back(1)] * count)
    times = "" if count == 1 else " (3 times)"
    assert score.slips == (
        (2, f"Viola: a voice began before the barline and was moved onto it{times}"),
    )
