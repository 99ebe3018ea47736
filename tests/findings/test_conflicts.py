"""Which divisions pull: definitions of the trade, checked against slow and obvious ones."""

from collections.abc import Iterable
from fractions import Fraction
from math import gcd

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from companion.findings.bar_pulls import BarOnsets, Side, pulls_in
from companion.findings.conflicts import Conflict, conflicts
from companion.rhythm.division import division_of, groups_pull, is_evenly_struck, meters_pull
from companion.rhythm.meter import Meter, parse

BEAT = 12
"""Ticks of a quarter in these tests."""


def line(part: str, meter: str, *onsets: int) -> BarOnsets:
    return BarOnsets(part, parse(meter), int(parse(meter).length * BEAT), onsets)


@pytest.mark.parametrize(
    ("a", "b", "pull"),
    [
        ("6/8", "2/4", ("beat", 3, 2)),
        ("6/8", "2/2", ("beat", 3, 2)),
        ("9/8", "3/4", ("beat", 3, 2)),
        ("12/8", "4/4", ("beat", 3, 2)),
        ("6/8", "3/4", ("bar", 2, 3)),
        ("3/4", "2/4", ("bar", 3, 2)),
        ("4/4", "3/4", ("bar", 4, 3)),
        ("2/2", "4/4", None),
        ("2/4", "2/2", None),
    ],
)
def test_how_two_meters_pull(a: str, b: str, pull: tuple[str, int, int] | None) -> None:
    assert meters_pull(parse(a), parse(b)) == pull


@pytest.mark.parametrize(
    ("a", "b", "groups"),
    [
        # common practice, no source: where the beats of additive meters fall
        ("3+2+3/8", "4/4", ((3, 2, 3), (2, 2, 2, 2))),
        ("3+2+3/8", "2+3+3/8", ((3, 2, 3), (2, 3, 3))),
        ("3+3+2/8", "2/2", ((3, 3, 2), (4, 4))),
        ("3+2/8", "2+3/8", ((3, 2), (2, 3))),
        ("4/4", "3+2+3/8", ((2, 2, 2, 2), (3, 2, 3))),
        ("3+2+3/8", "3+2+3/8", None),
        ("3+2+3/8", "8/8", None),
        ("2+2+3/8", "7/8", None),
        ("4/4", "2/2", None),
    ],
)
def test_where_unequal_beats_fall_differently(
    a: str, b: str, groups: tuple[tuple[int, ...], tuple[int, ...]] | None
) -> None:
    assert groups_pull(parse(a), parse(b)) == groups


def test_unequal_beats_pull_in_the_bar_and_are_told_by_their_groups() -> None:
    quarters, groups = (0, 12, 24, 36), (0, 18, 30)
    bar = [line("V", "4/4", *quarters), line("C", "3+2+3/8", *groups), line("W", "4/4", *quarters)]
    (found,) = conflicts([(1, bar)])
    assert (found.ratio, found.level, found.basis) == ((4, 3), "bar", "meter")
    more, fewer = found.sides
    assert (more.parts, fewer.parts) == (("V", "W"), ("C",))
    assert fewer.cuts == (Fraction(0), Fraction(3, 8), Fraction(5, 8))
    assert found.numbers == ("4", "3+2+3")


def test_of_two_sides_with_as_many_groups_the_upper_part_stands_first() -> None:
    upper, lower = line("V", "3+2+3/8", 0, 18, 30), line("C", "2+3+3/8", 0, 12, 30)
    for bar in ([upper, lower], [lower, upper]):
        (found,) = conflicts([(1, bar)])
        assert [side.parts for side in found.sides] == [(one.part,) for one in bar]


BEATS = st.lists(st.integers(2, 4), min_size=2, max_size=5).map(
    lambda groups: parse(f"{'+'.join(map(str, groups))}/8")
)


@given(BEATS, BEATS)
def test_groups_fill_the_bar_alike_whichever_way_round(a: Meter, b: Meter) -> None:
    found, turned = groups_pull(a, b), groups_pull(b, a)
    assert turned == (found and found[::-1])
    if found is not None:
        assert sum(found[0]) == sum(found[1])
        sides = [Side(len(groups), (), groups) for groups in found]
        assert len({*sides[0].cuts} - {*sides[1].cuts}) > 0
        assert len({*sides[1].cuts} - {*sides[0].cuts}) > 0


def test_a_tuplet_inside_another_is_felt_as_the_outer_one() -> None:
    """In ticks of a beat of 60: three, the middle one of them five, against four, and against
    two; fifteen equal notes stay fifteen."""
    nested = BarOnsets("V", parse("1/4"), 60, (0, 20, 24, 28, 32, 36, 40))
    four = BarOnsets("C", parse("1/4"), 60, (0, 15, 30, 45))
    two = BarOnsets("W", parse("1/4"), 60, (0, 30))
    even = BarOnsets("V", parse("1/4"), 60, tuple(range(0, 60, 4)))
    assert [pull[0] for pull, _ in pulls_in([nested, four])] == [(4, 3)]
    assert [pull[0] for pull, _ in pulls_in([nested, two])] == [(3, 2)]
    assert [pull[0] for pull, _ in pulls_in([even, two])] == [(15, 2)]


THREES = (0, 6, 12, 18, 24, 30)
"""The eighths of 6/8."""


def test_six_eight_beside_two_four_stands_on_the_page_only_while_a_side_rests() -> None:
    bar = [line("V", "6/8"), line("C", "2/4", 0, 6, 12, 18)]
    assert conflicts([(5, bar), (6, bar)]) == (
        Conflict(5, 6, (3, 2), "beat", "notated", (Side(3, ("V",)), Side(2, ("C",)))),
    )


def test_it_stands_on_the_page_only_while_nobody_plays_the_threes() -> None:
    bar = [line("V", "6/8", 0, 18), line("C", "2/4", 0, 6, 12, 18)]
    assert [one.basis for one in conflicts([(1, bar)])] == ["notated"]


@pytest.mark.parametrize(
    ("played", "ratio"),
    [
        ((0, 6, 12, 18), (3, 2)),  # eighths
        ((0, 3, 6, 9, 12, 15, 18, 21), (4, 3)),  # sixteenths throughout
        ((3, 9, 15, 21), (4, 3)),  # only on the second and the fourth quarter of the beat
        ((0, 2, 4, 12, 14, 16), None),  # triplets fit the eighths of 6/8
    ],
)
def test_the_ratio_comes_from_the_notes(
    played: tuple[int, ...], ratio: tuple[int, int] | None
) -> None:
    bar = [line("V", "6/8", *THREES), line("C", "2/4", *played)]
    (found,) = conflicts([(1, bar)])
    if ratio is None:
        assert found.is_notated
    else:
        assert (found.ratio, found.basis) == (ratio, "meter")


def test_under_one_meter_a_stretch_ends_when_a_part_comes_in() -> None:
    triplets, eighths = (0, 4, 8, 12, 16, 20), (0, 6, 12, 18)
    two = [line("V", "2/4", *triplets), line("C", "2/4", *eighths), line("W", "2/4", 0)]
    three = [*two[:2], line("W", "2/4", *triplets)]
    found = conflicts([(1, two), (2, two), (3, three)])
    assert [(one.first, one.last, one.sides[0].parts) for one in found] == [
        *((1, 2, ("V",)), (3, 3, ("V", "W"))),
    ]


def test_over_several_beats_only_equal_notes_are_felt_as_another_division() -> None:
    """A triplet over half a bar against quarters, whole and as one short and one long note."""
    quarters, whole, uneven = (0, 12, 24), (0, 8, 16, 24), (0, 8, 24)
    for played, pulls in ((whole, [(3, 2)]), (uneven, [])):
        bar = [line("V", "4/4", *played), line("C", "4/4", *quarters)]
        assert [one.ratio for one in conflicts([(1, bar)])] == pulls


def test_a_triplet_over_half_a_bar_divides_that_and_not_the_bar() -> None:
    """One triplet of quarters against quarters; then one in each half (common practice)."""
    quarters, once, twice = (0, 12, 24, 36), (24, 32, 40), (0, 8, 16, 24, 32, 40)
    told = []
    for played in (once, twice):
        (one,) = conflicts([(1, [line("V", "4/4", *played), line("C", "4/4", *quarters)])])
        told.append((one.span, one.beats_in(1), *map(one.name_of, one.sides)))
    assert told == [("half bar", (3, 4), "3", "2"), ("bar", (), "6", "4")]


def test_who_rests_is_on_no_side_and_comes_in_when_it_plays() -> None:
    rests = [line("V", "6/8", *THREES), line("C", "2/4", 0, 6, 12, 18), line("W", "2/4")]
    plays = [*rests[:2], line("W", "2/4", 0, 6, 12, 18)]
    (resting,) = conflicts([(1, rests)])
    assert resting.sides == (Side(3, ("V",)), Side(2, ("C",)))
    (both,) = conflicts([(1, rests), (2, plays)])
    assert (both.first, both.last, both.sides[1].parts) == (1, 2, ("C", "W"))


def test_one_beat_of_threes_says_nothing_about_the_other() -> None:
    bar = [line("V", "6/8", 0, 6, 12, 18), line("C", "2/4", 0, 6, 12, 18)]
    (found,) = conflicts([(1, bar)])
    assert found.beats_in(1) == (1,)


TWO_BEATS = st.sets(st.integers(0, 23), max_size=8)


@given(TWO_BEATS, TWO_BEATS)
def test_beat_by_beat_the_notes_decide_as_a_slow_reading_does(one: set[int], two: set[int]) -> None:
    """Two parts of two beats, 12 ticks a beat, one written in 6/8 (36 ticks a bar of its own)
    and one in 2/4: they pull in the beats whose smallest equal cuts do not contain each other.
    A dotted rhythm against triplets is told as that (`test_dotted.py`)."""
    threes = [tick for tick in one if tick % 2 == 0]  # what ticks of 6/8 can say
    bar = [
        line("V", "6/8", *sorted(tick * 3 // 2 for tick in threes)),
        line("C", "2/4", *sorted(two)),
    ]

    def cut(ticks: Iterable[int], beat: int) -> int:
        inside = [tick - 12 * beat for tick in ticks if 12 * beat <= tick < 12 * beat + 12]
        return next(n for n in range(1, 13) if all(tick * n % 12 == 0 for tick in inside))

    def in_lowest(a: int, b: int) -> tuple[int, int]:
        return max(a, b) // gcd(a, b), min(a, b) // gcd(a, b)

    def is_dotted(beat: int) -> bool:
        notes = {4: two, 3: threes} if cut(two, beat) == 4 else {4: threes, 3: two}
        after = [tick - 12 * beat for tick in notes[4] if 12 * beat < tick < 12 * beat + 12]
        return [cut(notes[n], beat) for n in (4, 3)] == [4, 3] and after in ([3], [9])

    expected = {
        beat + 1: "dotted" if is_dotted(beat) else in_lowest(cut(threes, beat), cut(two, beat))
        for beat in range(2)
        if (a := cut(threes, beat)) % (b := cut(two, beat)) and b % a
    }
    every = conflicts([(1, bar)])
    assume(not any(each.is_dotted and each.level == "bar" for each in every))
    found = [each for each in every if each.level == "beat"]
    told = {
        beat: "dotted" if each.is_dotted else each.ratio
        for each in found
        if not each.is_notated
        for beat in each.beats_in(1) or (1, 2)
    }
    assert told == expected


def test_three_four_beside_six_eight_pulls_in_the_bar() -> None:
    (found,) = conflicts([(1, [line("V", "3/4"), line("W", "6/8"), line("C", "3/4")])])
    assert (found.ratio, found.level) == ((3, 2), "bar")
    assert found.sides == (Side(3, ("V", "C")), Side(2, ("W",)))


def test_a_third_meter_joins_the_side_it_agrees_with() -> None:
    found = conflicts([(1, [line("A", "6/8"), line("B", "2/4"), line("C", "3/4")])])
    assert {(c.level, c.sides) for c in found} == {
        ("beat", (Side(3, ("A",)), Side(2, ("B",)))),
        ("bar", (Side(3, ("C",)), Side(2, ("A", "B")))),
    }


def test_triplets_against_eighths_sound_three_against_two() -> None:
    triplets = line("V", "2/4", 0, 4, 8, 12)
    eighths = line("C", "2/4", 0, 6, 12, 18)
    (found,) = conflicts([(9, [triplets, eighths])])
    assert (found.ratio, found.level, found.basis) == ((3, 2), "beat", "rhythm")
    assert found.sides == (Side(3, ("V",)), Side(2, ("C",)))


def test_beats_that_agree_on_the_sides_are_one_conflict_of_the_bar() -> None:
    bar = [
        line("A", "2/4", 0, 4, 8, 12),
        line("B", "2/4", 0, 16, 20),
        line("C", "2/4", 0, 6, 12, 18),
    ]
    (found,) = conflicts([(1, bar)])
    assert found.sides == (Side(3, ("A", "B")), Side(2, ("C",)))


def test_sides_that_change_places_within_the_bar_stay_apart() -> None:
    bar = [line("A", "2/4", 0, 4, 8, 12, 18), line("B", "2/4", 0, 6, 12, 16, 20)]
    assert {found.sides for found in conflicts([(1, bar)])} == {
        (Side(3, ("A",)), Side(2, ("B",))),
        (Side(3, ("B",)), Side(2, ("A",))),
    }


def test_sixteenths_against_triplets_are_four_against_three() -> None:
    (found,) = conflicts([(1, [line("V", "2/4", 0, 3, 6, 9), line("C", "2/4", 0, 4, 8)])])
    assert found.ratio == (4, 3)


def test_a_triplet_of_quarters_over_half_a_bar_pulls_against_quarters() -> None:
    triplet = line("V", "4/4", 0, 8, 16, 24)
    quarters = line("C", "4/4", 0, 12, 24, 36)
    (found,) = conflicts([(1, [triplet, quarters])])
    assert (found.ratio, found.level, found.basis) == ((3, 2), "bar", "rhythm")
    assert found.sides == (Side(6, ("V",)), Side(4, ("C",)))


def test_quarters_in_six_eight_pull_against_dotted_quarters() -> None:
    (found,) = conflicts([(1, [line("V", "6/8", 0, 12, 24), line("C", "6/8", 0, 18)])])
    assert (found.ratio, found.level) == ((3, 2), "bar")


def test_plain_rhythms_of_one_meter_do_not_pull() -> None:
    bar = [
        line("A", "3/4", 0, 18, 24),
        line("B", "3/4", 0, 12, 24),
        line("C", "3/4", 0, 6, 12, 18, 24, 30),
        line("D", "3/4", 0, 24),
    ]
    assert conflicts([(1, bar)]) == ()


@pytest.mark.parametrize("meter", ["5/8", "5/4", "7/8", "3+4/8", "3/8+2/4", "15/8", "1/4"])
def test_every_meter_bears_silence_and_the_shortest_notes(meter: str) -> None:
    silent = [line("A", meter), line("B", meter)]
    busy = [line("A", meter, *range(12)), line("B", meter, *range(0, 12, 5))]
    assert conflicts([(1, silent), (2, [silent[0], busy[1]])]) == ()
    assert all(c.basis == "rhythm" for c in conflicts([(1, busy)]))


def test_a_stretch_ends_where_the_sides_change() -> None:
    pulling = [line("A", "6/8"), line("B", "2/4"), line("C", "6/8")]
    changed = [line("A", "6/8"), line("B", "2/4"), line("C", "2/4")]
    found = conflicts([(1, pulling), (2, pulling), (3, changed), (4, [line("A", "6/8")])])
    assert [(c.first, c.last) for c in found] == [(1, 2), (3, 3)]


ONSETS = st.sets(st.integers(0, 2 * BEAT * 5 - 1), max_size=8)


@given(ONSETS, st.integers(1, 240))
def test_the_division_is_the_smallest_one_that_holds_every_onset(
    onsets: set[int], span: int
) -> None:
    inside = {onset for onset in onsets if onset < span}
    found = division_of(inside, span)
    holds = [
        n
        for n in range(1, span + 1)
        if all((Fraction(onset, span) * n).denominator == 1 for onset in inside)
    ]
    assert found == holds[0]


@given(st.integers(1, 40), st.integers(1, 12))
def test_equal_notes_are_recognised_and_a_missing_one_is_not(count: int, length: int) -> None:
    onsets = [k * length for k in range(count)]
    assert is_evenly_struck(onsets, count * length)
    assert division_of(onsets, count * length) == count
    if count > 2:
        assert not is_evenly_struck(onsets[:-1], count * length)


FIGURES = [(), (0,), (0, 6), (6,), (0, 4, 8), (0, 8), (0, 3, 6, 9), (0, 9), (0, 2, 4, 6, 8, 10)]
TWO_FOUR = st.tuples(st.sampled_from(FIGURES), st.sampled_from(FIGURES)).map(
    lambda pair: [*pair[0], *(BEAT + onset for onset in pair[1])]
) | st.sets(st.integers(0, 2 * BEAT - 1), max_size=8).map(sorted)


def slowly(a: list[int], b: list[int]) -> set[tuple[int, int]]:
    """By definition: in some beat both strike off it, and neither grid holds the other's notes.

    Dotted against triplet is no 4:3; `test_dotted.py` has its definition."""
    found = set()
    for start in (0, BEAT):
        grids, dotted = [], []
        for onsets in (a, b):
            inside = [o - start for o in onsets if start <= o < start + BEAT]
            is_dotted = {*inside} - {0} in ({9}, {3})
            dotted.append(is_dotted)
            grids.append(
                next(n for n in range(1, BEAT + 1) if all(o * n % BEAT == 0 for o in inside))
            )
        m, n = max(grids), min(grids)
        if n > 1 and m % n and not ((m, n) == (4, 3) and any(dotted)):
            found.add((m // gcd(m, n), n // gcd(m, n)))
    return found


@given(TWO_FOUR, TWO_FOUR)
def test_beats_pull_exactly_where_the_slow_definition_says(a: list[int], b: list[int]) -> None:
    found = pulls_in([line("A", "2/4", *a), line("B", "2/4", *b)])
    assume(("bar", "dotted") not in {pull[1:3] for pull, _ in found})
    even = {ratio for (ratio, level, basis, _), _ in found if (level, basis) == ("beat", "rhythm")}
    assert even == slowly(a, b)


@given(st.lists(TWO_FOUR, min_size=2, max_size=4))
def test_notes_on_halves_and_quarters_of_the_beat_never_pull(parts: list[list[int]]) -> None:
    binary = [[onset // 3 * 3 for onset in onsets] for onsets in parts]
    lines = [line(str(i), "2/4", *sorted(set(onsets))) for i, onsets in enumerate(binary)]
    assert conflicts([(1, lines)]) == ()


def test_two_hands_of_one_instrument_pull_in_every_beat() -> None:
    """Eighths over triplets in each of four quarters: the same as in two parts."""
    eighths = line("P", "4/4", *range(0, 48, 6))
    triplets = line("P", "4/4", *range(0, 48, 4))
    sides = (Side(3, ("P",)), Side(2, ("P",)))
    assert conflicts([(1, [eighths, triplets])]) == (
        Conflict(1, 1, (3, 2), "beat", "rhythm", sides),
    )


def test_a_part_against_one_of_two_hands_pulls_in_every_beat() -> None:
    bar = [
        line("V", "4/4", *range(0, 48, 6)),
        line("P", "4/4", *range(0, 48, 6)),
        line("P", "4/4", *range(0, 48, 4)),
    ]
    sides = (Side(3, ("P",)), Side(2, ("V", "P")))
    assert conflicts([(1, bar)]) == (Conflict(1, 1, (3, 2), "beat", "rhythm", sides),)
