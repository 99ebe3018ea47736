"""All that pulls against the meter in one form: what is a period, and where its groups begin."""

from __future__ import annotations

from fractions import Fraction

from companion.findings.conflicts import conflicts_of
from companion.findings.periods import heads_in, periods, periods_of
from companion.score.laying import lay
from companion.score.passage import passage
from companion.score.texture import texture_of
from tests.findings.music import texture
from tests.score.written import score


def test_equal_notes_that_are_a_side_of_a_conflict_are_told_there_and_not_twice() -> None:
    clock = lay(score(V="4/4 q3 q3 q3 q3 q3 q3 | q3 q3 q3 q3 q3 q3", C="4/4 q q q q | q q q q"))
    found = conflicts_of(clock)
    assert found and periods_of(clock, found) == ()
    (alone,) = periods(texture_of(clock), ())
    assert (alone.kind, alone.parts, alone.length) == ("grouping", ("P1",), Fraction(2, 3))


def test_a_figure_in_a_conflict_is_told_beside_it() -> None:
    music = texture("2/4", V="e60 e64 e67 " * 4, C="h h h")
    (found,) = periods(music, ())
    assert (found.evidence, found.parts) == (("pitch",), ("V",))


def test_a_period_counts_in_its_own_meter() -> None:
    line = "w | re e re e | re e re e | re e re e | h"
    (found,) = periods(texture("4/4 x 1, 2/4", V=line, C="w q q q q q q h"), ())
    assert (found.first, found.length, str(found.meter)) == (2, Fraction(1), "2/4")


def test_heads_are_those_within_the_passage_and_its_last_barline_is_outside() -> None:
    clock = lay(
        score(
            V="4/4 w | 2/4 re e re e | re e re e | re e re e | h",
            C="4/4 w | 2/4 q q | q q | q q | h",
        )
    )
    found = periods_of(clock, ())
    inside = heads_in(passage(clock, 0, 3, 3), found)
    assert [at - clock.bars[2].start for at in inside] == [Fraction(1, 2), Fraction(3, 2)]
    of_three = lay(score(V="6/8 q q q | q q q", C="6/8 q. q. | q. q."))
    on_barline = heads_in(passage(of_three, 0, 1, 1), periods_of(of_three, ()))
    assert on_barline == (Fraction(0), Fraction(2, 3), Fraction(4, 3))
    assert heads_in(passage(clock, 0, 1, 1), found) == ()


def test_groups_begin_where_they_are_heard_and_not_on_the_barline_before() -> None:
    two = "e s s q"
    clock = lay(
        score(
            V=f"3/4 rq {two} | {two} e s s | q {two} | {two} e s s | q {two} | h.",
            C="3/4 q q q | q q q | q q q | q q q | q q q | h.",
        )
    )
    (found,) = periods_of(clock, ())
    assert (found.kind, found.first, found.length) == ("hemiola", 1, Fraction(2))
    heads = heads_in(passage(clock, 0, 1, 5), [found])
    assert heads == tuple(Fraction(at) for at in range(1, 15, 2))


def test_bars_that_keep_the_meter_between_two_hemiolas_have_no_groups_of_their_own() -> None:
    clock = lay(score(V="6/8 q. q. | q q q | q. q. | q q q", C="6/8 h. | h. | h. | h."))
    (found,) = periods_of(clock, ())
    heads = heads_in(passage(clock, 0, 1, 4), [found])
    assert heads == tuple(bar + Fraction(2, 3) * beat for bar in (2, 6) for beat in range(3))
