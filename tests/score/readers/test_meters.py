"""Every way MusicXML 4.0 can write a meter (musicxml.xsd, element `time`)."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.score.model import PartBar, Score

BarsOf = Callable[..., tuple[PartBar, ...]]
ScoreOf = Callable[..., Score]


def attributes(*times: str, more: str = "") -> str:
    return f"<attributes><divisions>2</divisions>{more}{''.join(times)}</attributes>"


def time(beats: str, beat_type: str = "4", rest: str = "", about: str = "") -> str:
    return f"<time{about}><beats>{beats}</beats><beat-type>{beat_type}</beat-type>{rest}</time>"


@pytest.mark.parametrize(
    ("written", "meter"),
    [
        (time("6", "8"), "6/8"),
        (time("3"), "3/4"),
        (time("4", about=' symbol="common"'), "4/4"),  # C
        (time("2", "2", about=' symbol="cut"'), "2/2"),  # cut C
        (time("3", "8", about=' symbol="single-number"'), "3/8"),
        (time("3+2", "8"), "3+2/8"),  # additive
        (time(" 3 + 2 + 3 ", "8"), "3+2+3/8"),
        (time("2", rest="<beats>3</beats><beat-type>8</beat-type>"), "2/4+3/8"),  # two pairs
        (time("5", "4", about=' print-object="no"'), "5/4"),  # hidden, in force all the same
    ],
)
def test_a_meter_is_told_as_written(bars_of: BarsOf, written: str, meter: str) -> None:
    assert bars_of(attributes(written))[0].meter == meter


def test_music_without_meter_has_none_until_one_returns(bars_of: BarsOf) -> None:
    free = "<time><senza-misura/></time>"
    bars = bars_of(attributes(time("3")), attributes(free), "", attributes(time("2")))
    assert [bar.meter for bar in bars] == ["3/4", None, None, "2/4"]


def test_a_part_that_states_its_meter_late_has_none_before(bars_of: BarsOf) -> None:
    assert [bar.meter for bar in bars_of("", attributes(time("3")))] == [None, "3/4"]


def test_a_part_without_any_meter_is_in_common_time_and_says_so(score_of: ScoreOf) -> None:
    score = score_of(attributes(), "")
    assert [bar.meter for bar in score.parts[0].bars] == ["4/4", "4/4"]
    assert score.slips == ((0, "Viola: no meter is stated; 4/4 was taken"),)


def test_an_interchangeable_meter_keeps_the_first(score_of: ScoreOf) -> None:
    # 6/8 (3/4)
    other = "<interchangeable><beats>3</beats><beat-type>4</beat-type></interchangeable>"
    score = score_of(attributes(time("6", "8", rest=other)))
    assert score.parts[0].bars[0].meter == "6/8"
    assert score.slips == ((1, "Viola: a second, interchangeable meter was left out"),)


def test_staves_in_different_meters_keep_the_upper_one(score_of: ScoreOf) -> None:
    upper, lower = time("3", about=' number="1"'), time("9", "8", about=' number="2"')
    score = score_of(attributes(lower, upper, more="<staves>2</staves>"))
    assert score.parts[0].bars[0].meter == "3/4"
    assert "different meters" in score.slips[0][1]


def test_both_staves_may_change_at_once_in_any_order(bars_of: BarsOf) -> None:
    lower, upper = time("9", "8", about=' number="2"'), time("3", about=' number="1"')
    bars = bars_of(attributes(time("4"), more="<staves>2</staves>"), attributes(lower, upper))
    assert [bar.meter for bar in bars] == ["4/4", "3/4"]


def test_a_meter_for_the_lower_staff_alone_changes_nothing(score_of: ScoreOf) -> None:
    lower = time("9", "8", about=' number="2"')
    score = score_of(attributes(time("3"), more="<staves>2</staves>"), attributes(lower))
    assert [bar.meter for bar in score.parts[0].bars] == ["3/4", "3/4"]
    assert score.slips[0][0] == 2


HALF = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration></note>"


def test_a_meter_written_inside_a_bar_begins_at_the_next(score_of: ScoreOf) -> None:
    # 2/4: a half note, then already the sign for the 3/4 that follows
    score = score_of(attributes(time("2")) + HALF + attributes(time("3")), HALF)
    assert [bar.meter for bar in score.parts[0].bars] == ["2/4", "3/4"]
    assert score.slips == (
        (1, "Viola: the meter 3/4 is written inside a bar; it holds from the next one"),
    )


def test_the_same_meter_again_inside_a_bar_is_no_change(score_of: ScoreOf) -> None:
    score = score_of(attributes(time("2")) + HALF + attributes(time("2")), HALF)
    assert score.slips == ()


def test_a_meter_written_after_going_back_to_the_barline_is_the_bars_own(bars_of: BarsOf) -> None:
    back = "<backup><duration>4</duration></backup>"
    assert bars_of(attributes() + HALF + back + attributes(time("2")))[0].meter == "2/4"


@pytest.mark.parametrize("beats", ["", "three", "0", "3+", "-3", "4/4", "99999"])
def test_a_meter_that_is_none_keeps_the_one_before(score_of: ScoreOf, beats: str) -> None:
    score = score_of(attributes(time("3")), attributes(time(beats)))
    assert [bar.meter for bar in score.parts[0].bars] == ["3/4", "3/4"]
    assert "is not a meter; the one before (3/4) was kept" in score.slips[0][1]
