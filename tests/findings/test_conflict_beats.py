"""In which beats of its bars a conflict sits."""

from companion.findings.bar_pulls import BarOnsets
from companion.findings.conflicts import Conflict, conflicts
from companion.rhythm.meter import parse

BEAT = 12
"""Ticks of a quarter."""


def line(part: str, meter: str, *onsets: int) -> BarOnsets:
    return BarOnsets(part, parse(meter), int(parse(meter).length * BEAT), onsets)


def found(*bars: list[BarOnsets]) -> tuple[Conflict, ...]:
    return conflicts(enumerate(bars, 5))


def test_a_triplet_on_the_second_beat_says_nothing_about_the_first() -> None:
    (one,) = found([line("V", "2/4", 0, 12, 16, 20), line("C", "2/4", 0, 6, 12, 18)])
    assert one.beats == ((2,),)
    assert one.beats_in(5) == (2,)


def test_beats_that_agree_are_gathered() -> None:
    bar = [line("V", "3/4", 0, 4, 8, 12, 24, 28, 32), line("C", "3/4", 0, 6, 12, 24, 30)]
    (one,) = found(bar)
    assert one.beats == ((1, 3),)


def test_a_conflict_in_every_beat_needs_no_list_of_them() -> None:
    bar = [line("V", "2/4", 0, 4, 8, 12, 16, 20), line("C", "2/4", 0, 6, 12, 18)]
    (one,) = found(bar)
    assert one.beats == ()
    assert one.beats_in(5) == ()


def test_meters_that_pull_do_so_in_every_beat() -> None:
    (one,) = found([line("V", "6/8", 0), line("C", "2/4", 0)])
    assert one.beats_in(5) == ()


def test_one_stretch_holds_bars_whose_beats_differ() -> None:
    # The map goes on telling one conflict from bar 5 to 7; the beats are told bar by bar.
    second = [line("V", "2/4", 0, 12, 16, 20), line("C", "2/4", 0, 6, 12, 18)]
    first = [line("V", "2/4", 0, 4, 8, 12), line("C", "2/4", 0, 6, 12, 18)]
    both = [line("V", "2/4", 0, 4, 8, 12, 16, 20), line("C", "2/4", 0, 6, 12, 18)]
    (one,) = found(second, first, both)
    assert (one.first, one.last) == (5, 7)
    assert [one.beats_in(bar) for bar in (5, 6, 7)] == [(2,), (1,), ()]


def test_a_triplet_over_half_a_bar_sits_in_that_half() -> None:
    late = [line("V", "4/4", 0, 24, 32, 40), line("C", "4/4", 0, 12, 24, 36)]
    (one,) = found(late)
    assert (one.level, one.beats) == ("bar", ((3, 4),))


def test_sides_that_change_places_sit_in_different_beats() -> None:
    bar = [line("A", "2/4", 0, 4, 8, 12, 18), line("B", "2/4", 0, 6, 12, 16, 20)]
    assert {(one.sides[0].parts, one.beats) for one in found(bar)} == {
        (("A",), ((1,),)),
        (("B",), ((2,),)),
    }
