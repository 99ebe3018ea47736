"""The hardness of a conflict is a convention of ours; the tests hold it to its own docstring.

The limits of tempo: B. H. Repp, "Rate limits of sensorimotor synchronization", Adv. Cogn.
Psychol. 2, 2006, 163–181 (fastest taps 100–125 ms apart).
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, conflicts_of
from companion.findings.hardness import WEIGHTS, Hardness, hardness, span_of
from companion.findings.heard_conflicts import HeardConflict, PartStrokes
from companion.score.laying import lay
from tests.findings.music import heard_conflict, texture
from tests.score.written import score_of

V, C = ("V",), ("C",)


def conflict(m: int, n: int, last: int = 1, more: tuple[str, ...] = V) -> Conflict:
    return Conflict(1, last, (m, n), "beat", "rhythm", (Side(m, more), Side(n, C)))


def heard(*parts: tuple[str, int, int], pulling: int = 1) -> HeardConflict:
    return HeardConflict(1, pulling, (), tuple(PartStrokes(*part) for part in parts))


def test_the_weights_make_a_hundred() -> None:
    assert sum(WEIGHTS.values()) == 100


@pytest.mark.parametrize(
    ("parts", "span"),
    [
        ({"V": "2/4 e3 e3 e3 | q q", "C": "2/4 e e | h"}, Fraction(1)),
        ({"V": "3/4 rq rq e3 e3 e3 q | h.", "C": "3/4 q q e e q | h."}, Fraction(1)),
        ({"V": "3/4 h. | q. q.", "C": "6/8 q. q. | q q q"}, Fraction(3)),
        ({"V": "3+2/8 e. e. e e", "C": "3+2/8 e e e e e"}, Fraction(1)),
    ],
    ids=["a pickup", "a long bar", "the bar", "the long beat of 3+2/8"],
)
def test_what_is_divided_is_a_beat_or_a_bar_of_the_parts_that_divide_it(
    parts: dict[str, str], span: Fraction
) -> None:
    """Counted in felt beats of the top part; the meters say how long a beat and a bar are."""
    clock = lay(score_of(parts))
    assert {span_of(clock, found) for found in conflicts_of(clock)} == {span}


def test_three_against_two_by_hand() -> None:
    """Ratio 1/4 of 30, alone 2/3 of 25, support 1/2 of 20, 250 ms 1/2 of 20, two bars 1/3 of 5:
    7.5 + 16.67 + 10 + 10 + 1.67 = 45.8."""
    music = texture("2/4", V="e3 e3 e3 e3 e3 e3 " * 2, C="e e e e e e e e")
    three = conflict(3, 2, last=2)
    assert hardness(three, heard_conflict(three, music), "V", Fraction(3, 2)) == Hardness(
        46,
        ("alone", "support", "tempo", "ratio", "length"),
        PartStrokes("V", 12, 8),
        resultant=4,
        against=1,
        seconds_per_span=Fraction(3, 2),
        smallest_gap=Fraction(1, 4),
    )


def test_without_a_tempo_the_rest_makes_the_whole() -> None:
    found = hardness(conflict(3, 2), heard(("V", 4, 4), ("C", 4, 0)), "V")
    assert found.score == round(100 * (7.5 + 25 + 10) / 80)


def test_who_rests_or_stands_aside_has_nothing_to_master() -> None:
    sound = heard(("V", 0, 0), ("C", 4, 4))
    assert hardness(conflict(3, 2), sound, "V") == Hardness(0, mine=PartStrokes("V", 0, 0))
    assert hardness(conflict(3, 2), sound, "B") == Hardness(0)


def test_sides_that_never_strike_off_each_other_cost_no_ratio_and_no_tempo() -> None:
    sound = heard(("V", 4, 0), ("C", 4, 0), pulling=0)
    found = hardness(conflict(9, 8), sound, "V", Fraction(1, 10))
    assert (found.score, found.because) == (10, ("support",))


def test_support_by_another_part_makes_it_easier() -> None:
    alone = hardness(conflict(3, 2), heard(("V", 4, 0), ("C", 4, 0)), "V")
    three = conflict(3, 2, more=("V", "W"))
    with_help = hardness(three, heard(("V", 4, 0), ("W", 4, 0), ("C", 4, 0)), "V")
    resting = hardness(three, heard(("V", 4, 0), ("W", 0, 0), ("C", 4, 0)), "V")
    assert with_help.score < alone.score == resting.score
    assert (with_help.with_me, with_help.against) == (1, 1)


def test_two_hands_on_both_sides_count_once_on_each() -> None:
    sides = (Side(3, ("V", "P")), Side(2, ("P",)))
    hands = Conflict(1, 1, (3, 2), "beat", "rhythm", sides)
    found = hardness(hands, heard(("V", 4, 0), ("P", 6, 0), ("P", 6, 0)), "V")
    assert (found.with_me, found.against, found.on_both_sides) == (0, 0, 1)
    assert found.score == round(100 * (7.5 + 20 / 3) / 80)


RATIOS = [(3, 2), (4, 3), (5, 4), (7, 4), (9, 8)]


def test_more_strokes_are_harder() -> None:
    sound = heard(("V", 4, 2), ("C", 4, 2))
    scores = [hardness(conflict(*ratio), sound, "V").score for ratio in RATIOS]
    assert scores == sorted(set(scores))


@pytest.mark.parametrize(("ms", "share"), [(1000, 0), (500, 0), (250, 10), (125, 20), (60, 20)])
def test_gaps_from_half_a_second_to_the_fastest_taps(ms: int, share: int) -> None:
    sound = heard(("V", 4, 0), ("C", 4, 0))
    three = conflict(3, 2)
    assert hardness(three, sound, "V", Fraction(6 * ms, 1000)).score == round(17.5 + share)


@given(
    st.sampled_from(RATIOS),
    st.integers(1, 40),
    st.integers(1, 30),
    st.integers(0, 30),
    st.builds(Fraction, st.integers(1, 90), st.integers(1, 30)),
)
def test_the_score_stays_between_0_and_100_and_is_not_eased_by_playing_alone(
    ratio: tuple[int, int], bars: int, strokes: int, alone: int, seconds: Fraction
) -> None:
    alone = min(alone, strokes)
    pull = conflict(*ratio, last=bars)
    less, more = (
        hardness(pull, heard(("V", strokes, n), ("C", 4, 0)), "V", seconds)
        for n in (alone // 2, alone)
    )
    assert 0 <= less.score <= more.score <= 100
