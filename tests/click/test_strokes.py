"""Bars, meetings, written rhythms and the groups of additive meters in a click."""

from fractions import Fraction

from companion.click.plan.beats import Weight, beats, group_starts
from companion.click.plan.layers import Layer, PartRhythm
from companion.click.plan.plan import ClickPlan
from companion.rhythm.meter import parse
from companion.score.clock import BarPlace
from tests.click.asking import ALL, click, held, times
from tests.score.written import score, score_of

PULLING = score(V="6/8 * | *", C="2/4 * | *")


def weights(planned: ClickPlan, layer: Layer) -> list[int]:
    return [stroke.weight for stroke in planned.strokes if stroke.layer is layer]


def test_the_bar_layer_strikes_the_first_of_each_bar_alone() -> None:
    planned = click(score(V="2/4 q q | 3/4 q q q | q q q"), layers=[Layer.BAR])
    assert times(planned, Layer.BAR) == ["0>", "2>", "5>"]


def test_an_upbeat_is_no_first_of_a_bar() -> None:
    planned = click(score(V="4/4 q | q q q q"), layers=[Layer.BAR])
    assert times(planned, Layer.BAR) == ["1>"]


def test_coincidences_are_where_both_sides_meet() -> None:
    # 3 against 2 meets on the beat alone: 3 and 2 have no common divisor.
    planned = click(PULLING, layers=[Layer.COINCIDENCE])
    assert times(planned, Layer.COINCIDENCE) == ["0>", "1>", "2>", "3>"]


def test_lone_strokes_keep_their_own_layer_and_meetings_are_struck_by_both() -> None:
    planned = click(PULLING, layers=ALL)
    first = [s for s in planned.strokes if s.at < 1]
    at = {
        time: {s.layer for s in first if s.at == time and s.layer in {Layer.MINE, Layer.THEIRS}}
        for time in (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3))
    }
    assert list(at.values()) == [
        {Layer.MINE, Layer.THEIRS},
        {Layer.MINE},
        {Layer.THEIRS},
        {Layer.MINE},
    ]


def test_my_written_rhythm_is_struck_as_it_stands() -> None:
    planned = click(score(V="2/4 q. e | rq q", C="2/4 h | h"), layers=[Layer.RHYTHM])
    assert times(planned, Layer.RHYTHM) == ["0", "3/2", "3"]


def test_another_parts_rhythm_is_struck_in_its_own_meter_on_the_common_clock() -> None:
    both = score_of({"V": "6/8 q. q.", "C": "2/4 e e q"})
    cello = PartRhythm(1, "C")
    planned = click(both, layers=[Layer.BEAT, cello])
    struck = [stroke.at for stroke in planned.strokes if stroke.layer == cello]
    assert struck == [0, Fraction(1, 2), 1]


def test_written_groups_are_found_whatever_beats_they_hold() -> None:
    # Groups as written in the meter itself; what a group is: common practice, no source.
    assert group_starts(parse("3+4/8")) == {1}
    assert group_starts(parse("3+2/4")) == {3}
    assert group_starts(parse("3/8+2/4")) == {1}
    assert group_starts(parse("2+2+3/8")) == {1, 2}
    assert group_starts(parse("6/8")) == group_starts(parse("5/4")) == set()


def test_pulses_stand_out_where_a_group_begins() -> None:
    planned = click(held(["3+4/8"]), layers=[Layer.DIVISION])
    assert weights(planned, Layer.DIVISION) == [2, 0, 0, 1, 0, 0, 0]


def test_beats_stand_out_where_a_group_holds_several() -> None:
    planned = click(held(["3+2/4"]), layers=[Layer.BEAT])
    assert weights(planned, Layer.BEAT) == [2, 0, 0, 1, 0]
    assert weights(click(held(["2+1/4"]), layers=[Layer.BEAT]), Layer.BEAT) == [2, 0, 1]
    # In 3+4/8 the beats themselves are the groups: only the first of the bar stands out.
    assert weights(click(held(["3+4/8"]), layers=[Layer.BEAT]), Layer.BEAT) == [2, 0]


def test_plain_meters_have_no_groups_to_accent() -> None:
    planned = click(held(["6/8"]), layers=[Layer.BEAT, Layer.DIVISION])
    assert weights(planned, Layer.DIVISION) == [2, 0, 0, 0, 0, 0]


def test_a_bar_written_too_long_has_groups_only_while_its_meter_lasts() -> None:
    place = BarPlace(Fraction(0), Fraction(7), Fraction(1), Fraction(0), parse("3+2/4"))
    counted = [beat.weight for beat in beats(place)]
    assert counted[:5] == [Weight.FIRST, 0, 0, Weight.GROUP, 0]
    assert counted[5:] == [0, 0]


def test_the_groups_of_a_figure_are_struck_where_they_begin() -> None:
    # A quarter and an eighth, five times in 4/4.
    written = score(V="4/4 q e q e q | e q e q e e | w", C="4/4 w | w | w")
    struck = times(click(written, layers=[Layer.PERIOD]), Layer.PERIOD)
    assert struck[:5] == ["0", "3/2", "3", "9/2", "6"]


def test_a_displaced_part_is_struck_beside_the_beat() -> None:
    written = score(V="2/4 re e re e | re e re e | re e re e", C="2/4 q q | q q | q q")
    struck = times(click(written, layers=[Layer.PERIOD]), Layer.PERIOD)
    assert struck == ["1/2", "3/2", "5/2", "7/2", "9/2", "11/2"]


def test_a_part_without_a_period_hears_that_of_the_others() -> None:
    written = score(V="6/8 q. q. | q. q.", C="6/8 q q q | q q q")
    struck = times(click(written, layers=[Layer.PERIOD]), Layer.PERIOD)
    assert struck == ["0", "2/3", "4/3", "2", "8/3", "10/3"]


def test_a_conflict_in_one_beat_is_struck_in_that_beat_alone() -> None:
    # Triplets against eighths on the second of three beats.
    one_beat = score(V="3/4 q e3 e3 e3 q", C="3/4 q e e q")
    planned = click(one_beat, layers=[Layer.MINE, Layer.THEIRS, Layer.COINCIDENCE])
    assert times(planned, Layer.MINE) == ["1>", "4/3", "5/3"]
    assert times(planned, Layer.THEIRS) == ["1>", "3/2"]
    assert times(planned, Layer.COINCIDENCE) == ["1>"]


def test_from_bar_to_bar_the_conflict_is_struck_where_it_sits() -> None:
    moving = score(V="2/4 e3 e3 e3 q | q e3 e3 e3", C="2/4 e e q | q e e")
    planned = click(moving, layers=[Layer.MINE, Layer.THEIRS])
    assert times(planned, Layer.MINE) == ["0>", "1/3", "2/3", "3>", "10/3", "11/3"]


def test_a_triplet_over_the_second_half_of_a_bar_leaves_the_first_half_alone() -> None:
    half = score(V="4/4 h q3 q3 q3", C="4/4 q q q q")
    planned = click(half, layers=[Layer.MINE, Layer.THEIRS])
    assert times(planned, Layer.MINE) == ["2>", "8/3", "10/3"]
    assert times(planned, Layer.THEIRS) == ["2>", "3"]


def test_every_stroke_knows_its_beat_and_whether_two_sides_pull_in_it() -> None:
    one_beat = score(V="3/4 q e3 e3 e3 q | q q q", C="3/4 q e e q | q q q")
    planned = click(one_beat, layers=[Layer.BEAT, Layer.MINE], count_in=1)
    found = [(s.beat, s.bar, s.is_contested) for s in planned.once if s.layer is Layer.BEAT]
    assert found == [
        *((1, 1, False), (2, 1, True), (3, 1, False)),
        *((4, 2, False), (5, 2, False), (6, 2, False)),
    ]
    assert [(stroke.beat, stroke.is_contested) for stroke in planned.counted] == [(0, False)] * 3
    assert planned.beats_each == 6
