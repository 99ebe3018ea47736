"""Tuplets fall exactly, also where a file rounds them off.

MusicXML 4.0, element `divisions`: eighth triplets beside duplets in the time of
three need 12 divisions; a file with fewer can only round.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.model import PartBar, Score

ScoreOf = Callable[..., Score]

ROUNDED = "some note lengths are rounded off in the file; the exact ones were taken"


def divisions(number: object) -> str:
    return f"<attributes><divisions>{number}</divisions></attributes>"


def note(duration: object, kind: str, ratio: tuple[int, int] | None = None, more: str = "") -> str:
    pitch = "<pitch><step>A</step><octave>4</octave></pitch>"
    change = ""
    if ratio:
        change = (
            f"<time-modification><actual-notes>{ratio[0]}</actual-notes>"
            f"<normal-notes>{ratio[1]}</normal-notes></time-modification>"
        )
    length = f"<duration>{duration}</duration>"
    return f"<note>{more}{pitch}{length}<type>{kind}</type>{change}</note>"


def quarters(score: Score, bar: PartBar) -> list[Fraction]:
    return [Fraction(note.onset, score.ticks) for note in bar.notes]


def test_a_triplet_that_divisions_can_count(score_of: ScoreOf) -> None:
    # three eighths in the time of two, then a quarter; 6 divisions
    score = score_of(divisions(6) + note(2, "eighth", (3, 2)) * 3 + note(6, "quarter"))
    bar = score.parts[0].bars[0]
    assert quarters(score, bar) == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert [note.tuplet for note in bar.notes] == [(3, 2)] * 3 + [None]
    assert ROUNDED not in [sentence for _, sentence in score.slips]


def test_a_triplet_rounded_to_256ths_falls_on_thirds(score_of: ScoreOf) -> None:
    # 85 + 85 + 86 of 256, then a quarter
    triplet = "".join(note(length, "eighth", (3, 2)) for length in (85, 85, 86))
    score = score_of(divisions(256) + triplet + note(256, "quarter"))
    bar = score.parts[0].bars[0]
    assert quarters(score, bar) == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert Fraction(bar.filled, score.ticks) == 2
    assert (1, f"{ROUNDED} (3 times)") in score.slips


def test_a_triplet_cut_short_by_rounding_still_ends_on_the_beat(score_of: ScoreOf) -> None:
    # 85 + 85 + 85 of 256: the file's own count is one short from here to the barline
    score = score_of(divisions(256) + note(85, "eighth", (3, 2)) * 3 + note(256, "quarter") * 3)
    bar = score.parts[0].bars[0]
    assert quarters(score, bar)[3:] == [1, 2, 3]
    assert Fraction(bar.filled, score.ticks) == 4


def test_a_second_voice_meets_the_rounded_one_at_the_barline(score_of: ScoreOf) -> None:
    triplet = note(85, "eighth", (3, 2)) * 3
    back = "<backup><duration>255</duration></backup>"
    score = score_of(divisions(256) + triplet + back + note(256, "quarter") * 2)
    bar = score.parts[0].bars[0]
    assert quarters(score, bar) == [0, 0, Fraction(1, 3), Fraction(2, 3), 1]


def test_going_back_into_a_rounded_triplet_finds_its_notes(score_of: ScoreOf) -> None:
    # back by the last two triplet notes: the second voice begins on the first third
    triplet = "".join(note(length, "eighth", (3, 2)) for length in (85, 85, 86))
    back = "<backup><duration>171</duration></backup>"
    score = score_of(divisions(256) + triplet + back + note(171, "quarter", (3, 2)))
    assert quarters(score, score.parts[0].bars[0]) == [
        0,
        *[Fraction(1, 3), Fraction(1, 3)],
        Fraction(2, 3),
    ]


def test_a_chord_in_a_rounded_triplet_keeps_its_length(score_of: ScoreOf) -> None:
    chord = note(85, "eighth", (3, 2)) + note(85, "eighth", (3, 2), more="<chord/>")
    score = score_of(divisions(256) + chord)
    first, second = score.parts[0].bars[0].notes
    assert Fraction(first.length, score.ticks) == Fraction(second.length, score.ticks)
    assert Fraction(first.length, score.ticks) == Fraction(1, 3)


def test_a_double_stop_counted_unlike_it_is_printed_follows_the_print(score_of: ScoreOf) -> None:
    # both printed as dotted quarters; the file forgets the dot of the upper one
    upper = note(4, "quarter", more="<chord/>").replace("</type>", "</type><dot/>")
    lower = note(6, "quarter").replace("</type>", "</type><dot/>")
    score = score_of(divisions(4) + lower + upper)
    assert [n.length for n in score.parts[0].bars[0].notes] == [6, 6]
    assert "counted unlike they are printed" in score.slips[-1][1]


def test_a_double_stop_of_two_lengths_keeps_them(score_of: ScoreOf) -> None:
    score = score_of(divisions(4) + note(8, "half") + note(4, "quarter", more="<chord/>"))
    assert [n.length for n in score.parts[0].bars[0].notes] == [8, 4]


def test_nested_tuplets_are_multiplied_out(score_of: ScoreOf) -> None:
    # a quintuplet of sixteenths inside a triplet of quarters: 15 in the time of 8
    # (MusicXML 4.0, time-modification: nested tuplets give the product)
    score = score_of(divisions(480) + note(64, "16th", (15, 8)) * 5)
    bar = score.parts[0].bars[0]
    assert bar.notes[0].tuplet == (15, 8)
    assert quarters(score, bar) == [Fraction(2, 15) * n for n in range(5)]


def test_a_written_length_that_is_no_rounding_is_kept(score_of: ScoreOf) -> None:
    # printed as a triplet eighth, but a whole eighth long in the file
    score = score_of(divisions(256) + note(128, "eighth", (3, 2)) * 2)
    assert quarters(score, score.parts[0].bars[0]) == [0, Fraction(1, 2)]


def test_divisions_may_change_inside_a_bar_and_between_parts(score_of: ScoreOf) -> None:
    score = score_of(
        divisions(3) + note(1, "eighth", (3, 2)) * 3 + divisions(4) + note(1, "16th") * 4
    )
    assert quarters(score, score.parts[0].bars[0]) == [
        *(Fraction(n, 3) for n in range(3)),
        *(1 + Fraction(n, 4) for n in range(4)),
    ]


def test_divisions_and_durations_may_be_decimals(score_of: ScoreOf) -> None:
    # half a division a quarter: 1 is a half note; 0.25 an eighth
    score = score_of(divisions("0.5") + note(1, "half") + note("0.25", "eighth") + note(0.5, "q"))
    assert quarters(score, score.parts[0].bars[0]) == [0, 2, Fraction(5, 2)]


@pytest.mark.parametrize("ratio", ["0", "x", "", "-3", "3.5"])
def test_a_tuplet_of_no_number_is_read_as_plain_notes(score_of: ScoreOf, ratio: str) -> None:
    odd = (
        "<note><rest/><duration>1</duration><type>quarter</type><time-modification>"
        f"<actual-notes>{ratio}</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification></note>"
    )
    score = score_of(divisions(1) + odd)
    assert score.parts[0].bars[0].notes[0].tuplet is None
    assert "does not say how many notes" in score.slips[-1][1]


@given(
    actual=st.integers(2, 31),
    normal=st.integers(1, 16),
    unit=st.sampled_from([1, 2, 24, 96, 256, 480, 1024]),
)
def test_any_rounded_tuplet_comes_out_exact(
    score_of: ScoreOf, actual: int, normal: int, unit: int
) -> None:
    # the file rounds every onset to a division and writes the differences
    exact = Fraction(normal, actual * 2)
    places = [round(exact * unit * n) for n in range(actual + 1)]
    written = "".join(
        note(after - before, "eighth", (actual, normal))
        for before, after in zip(places, places[1:], strict=False)
    )
    score = score_of(divisions(unit) + written)
    assert quarters(score, score.parts[0].bars[0]) == [exact * n for n in range(actual)]
