"""What the lanes of a passage hold, in clock time."""

from fractions import Fraction

from companion.score.passage import passage
from companion.session.lanes import Lanes, first_facing, lane, lanes_of
from companion.session.open_score import OpenScore
from tests.score.written import score
from tests.session.small_scores import opened_for_practice, three_against_two, whole


def lanes(open_score: OpenScore, part: int = 0) -> Lanes:
    chosen = whole(open_score, part)
    return lanes_of(chosen, open_score.conflicts, first_facing(chosen, open_score.conflicts))


def test_three_against_two_is_cut_at_thirds_above_and_halves_below() -> None:
    # 3 against 2 strikes at 0, 1/3, 1/2 and 2/3: J. Schillinger, The Schillinger System of
    # Musical Composition (1946), Book I, 3:2 = durations 2 1 1 2 of six.
    first = lanes(three_against_two()).rulings[0]
    assert [cut.at for cut in first.upper if cut.at < 1] == [0, Fraction(1, 3), Fraction(2, 3)]
    assert [cut.at for cut in first.lower if cut.at < 1] == [0, Fraction(1, 2)]
    assert first.divisions == ("in 3", "in 2")


def test_every_beat_is_counted_from_one_again() -> None:
    first = lanes(three_against_two()).rulings[0]
    assert [cut.count for cut in first.upper] == [1, 2, 3, 1, 2, 3]
    assert [cut.count for cut in first.lower] == [1, 2, 1, 2]


def test_my_side_is_the_upper_one_whichever_it_is() -> None:
    assert lanes(three_against_two(), part=1).rulings[0].divisions == ("in 2", "in 3")


def test_a_listener_sees_both_sides_of_other_parts() -> None:
    open_score = opened_for_practice(score(V="2/4 e3 e3 e3 q", W="2/4 e e q", C="2/4 h"))
    shown = lanes(open_score, part=2)
    assert shown.mine.name == "C"
    assert {*shown.rulings[0].divisions} == {"in 3", "in 2"}


def test_in_a_hemiola_the_bar_is_cut_and_counted_through() -> None:
    open_score = opened_for_practice(score(V="6/8 q. q.", C="3/4 q q q"))
    ruling = lanes(open_score).rulings[0]
    assert [cut.count for cut in ruling.lower] == [1, 2, 3]
    assert [cut.at for cut in ruling.lower] == [0, Fraction(2, 3), Fraction(4, 3)]


def test_where_nothing_pulls_nothing_is_ruled() -> None:
    open_score = opened_for_practice(score(V="3/4 q q q", C="3/4 h."))
    assert lanes(open_score).rulings[0].upper == ()
    assert lanes(open_score).rulings[0].conflict is None


def test_the_lane_opposite_is_one_that_pulls_against_mine() -> None:
    open_score = three_against_two()
    assert [first_facing(whole(open_score, part), open_score.conflicts) for part in range(4)] == [
        1,
        0,
        3,  # divides nothing: the next part that plays
        0,
    ]


def test_a_note_tied_over_the_barline_is_struck_once_and_lasts() -> None:
    from msgspec.structs import replace

    from companion.score.model import TIE_STARTS, TIE_STOPS

    written = score(V="2/4 q q | q q")
    part = written.parts[0]
    held = replace(part.bars[0].notes[1], tie=TIE_STARTS)
    tied = replace(part.bars[1].notes[0], tie=TIE_STOPS)
    bars = (
        replace(part.bars[0], notes=(part.bars[0].notes[0], held)),
        replace(part.bars[1], notes=(tied, part.bars[1].notes[1])),
    )
    open_score = opened_for_practice(replace(written, parts=(replace(part, bars=bars),)))
    one = lane(open_score.clock, 0, open_score.clock.bars)
    assert [stroke.at for stroke in one.strokes] == [0, 1, 3]
    assert one.sounding == ((Fraction(0), Fraction(4)),)


def test_rests_part_what_sounds() -> None:
    open_score = opened_for_practice(score(V="2/4 e re e re"))
    half, one = Fraction(1, 2), Fraction(1)
    sounding = lane(open_score.clock, 0, open_score.clock.bars).sounding
    assert sounding == ((Fraction(0), half), (one, one + half))


def test_an_upbeat_is_counted_as_the_end_of_its_bar() -> None:
    pickup = opened_for_practice(score(V="6/8 e e e | * | *", C="2/4 e e | * | *"))
    assert [cut.count for cut in lanes(pickup).rulings[0].upper] == [1, 2, 3]


def test_a_passage_begins_and_ends_at_its_own_barlines() -> None:
    open_score = three_against_two(bars=4)
    chosen = passage(open_score.clock, 0, 2, 3)
    shown = lanes_of(chosen, open_score.conflicts, 1, {2: "C"})
    assert shown.labels == ("C 2", "3")
    assert shown.mine.strokes[0].at == 2
    assert shown.mine.strokes[-1].at < 6
