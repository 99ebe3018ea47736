"""From the laid score to its conflicts: staves, pickups, and where a part strikes."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from companion.findings.conflicts import conflicts_of, onsets
from companion.findings.heard_conflicts import heard_conflicts
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.texture import texture_of
from tests.score.written import score, score_of


def for_two_hands(upper: str, lower: str) -> Score:
    """One instrument with two staves."""
    written = score(R=upper, L=lower)
    right, left = written.parts
    bars = tuple(
        replace(
            above,
            notes=tuple(
                sorted(
                    (*above.notes, *(replace(note, staff=2) for note in below.notes)),
                    key=lambda note: note.onset,
                )
            ),
        )
        for above, below in zip(right.bars, left.bars, strict=True)
    )
    return replace(written, parts=(replace(right, bars=bars, staves=2),))


def test_two_hands_at_one_instrument_pull_against_each_other() -> None:
    (found,) = conflicts_of(lay(for_two_hands("2/4 e3 e3 e3 q", "2/4 e e q")))
    assert (found.ratio, found.beats) == ((3, 2), ((1,),))
    assert [side.parts for side in found.sides] == [("P1",), ("P1",)]


def test_both_hands_on_one_staff_are_one_rhythm() -> None:
    written = for_two_hands("2/4 e3 e3 e3 q", "2/4 e e q")
    alone = replace(written, parts=(replace(written.parts[0], staves=1),))
    assert conflicts_of(lay(alone)) == ()


def test_a_conflict_in_a_pickup_sits_on_the_beat_the_full_bar_has_there() -> None:
    found = conflicts_of(lay(score(V="2/4 e3 e3 e3 | q q", C="2/4 e e | q q")))
    assert [(one.first, one.beats) for one in found] == [(1, ((2,),))]


def test_the_same_where_one_part_counts_in_another_meter() -> None:
    found = conflicts_of(lay(score(V="6/8 e e e | q. q.", C="2/4 e e | q q")))
    (sounding,) = [one for one in found if one.basis == "meter"]
    assert (sounding.first, sounding.last, sounding.ratio) == (1, 1, (3, 2))
    assert sounding.beats in ((), ((2,),))


# Meters whose beats fit each other are not therefore played alike: the ratio is what the notes
# of the two lines divide the same span into (counted by hand from the note values). It is told
# of the bar where the beats of both are not the same.
@pytest.mark.parametrize(
    ("upper", "lower", "pulls"),
    [
        ("4/4 e3 e3 e3 q h", "2/2 e e q h", [((3, 2), ((1,),), "bar")]),
        ("2/2 e e q h", "4/4 h e3 e3 e3 q", []),
        ("12/8 e e e e e e e e e e e e", "2/2 e e e e e e e e", [((3, 2), (), "bar")]),
        (
            "4/4 e e e e q q",
            "6/8 e e e e e e",
            [((3, 2), ((2,),), "bar"), ((4, 3), ((1,),), "bar")],
        ),
        ("4/4 h q q", "6/8 q. e e e", [((3, 2), ((2,),), "bar")]),
        ("3/4 e3 e3 e3 q q", "3/8 s s e e", [((3, 2), ((1,),), "beat")]),
        ("4/4 q q q q", "2/2 h e e q", []),
        ("4/4 q q q q", "6/8 q. q.", []),
    ],
)
def test_meters_that_fit_are_compared_by_their_notes(
    upper: str, lower: str, pulls: list[tuple[tuple[int, int], tuple[tuple[int, ...], ...], str]]
) -> None:
    for lines in ({"V": upper, "C": lower}, {"C": lower, "V": upper}):
        clock = lay(score_of(lines))
        found = conflicts_of(clock)
        assert [(one.ratio, one.beats, one.level) for one in found] == pulls
        assert all(one.basis == "rhythm" for one in found)
        heard = heard_conflicts(found, texture_of(clock))
        assert all(one.pulling for one in heard)


def test_a_part_that_leaves_its_meter_leaves_the_conflict() -> None:
    clock = lay(score(A="6/8 * | *", B="2/4 * | *", C="2/4 * | 4/4 w"))
    found = [(one.first, one.last, one.sides[1].parts) for one in conflicts_of(clock)]
    assert found == [(1, 1, ("P2", "P3")), (2, 2, ("P2",))]


def test_meters_with_other_numbers_of_beats_are_other_sides() -> None:
    """12/8 and 4/4 divide four beats, 6/4 and 2/4 two: both are 3 against 2, in other spans."""
    clock = lay(score(A="12/8 *", B="4/4 *", C="6/4 *", D="2/4 *"))
    sides = {tuple(side.parts for side in one.sides) for one in conflicts_of(clock)}
    assert {(("P1",), ("P2",)), (("P3",), ("P4",))} <= sides


def test_onsets_are_those_from_the_first_time_up_to_the_last() -> None:
    clock = lay(score(V="2/4 e e q | q q | h", C="2/4 h | h | h"))
    assert onsets(clock, 0, Fraction(0), Fraction(2)) == (Fraction(0), Fraction(1, 2), Fraction(1))
    assert onsets(clock, 0, Fraction(1), Fraction(3)) == (Fraction(1), Fraction(2))
    assert onsets(clock, 0, Fraction(5), Fraction(9)) == ()
