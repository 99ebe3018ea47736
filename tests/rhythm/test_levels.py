"""Which level of its meter a group pulls against. The groups are common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.meter import crossed, levels, parse
from companion.score.laying import lay
from companion.score.texture import texture_of
from tests.score.written import score

EIGHTH = Fraction(1, 2)


@pytest.mark.parametrize(
    ("length", "meter", "ratio", "level"),
    [
        (3 * EIGHTH, "2/4", "3/4", "bar"),
        (3 * EIGHTH, "4/4", "3/4", "half bar"),
        (3 * EIGHTH / 2, "2/4", "3/4", "beat"),
        (3 * EIGHTH, "3/4", "3/2", "beat"),
        (4 * EIGHTH, "3/4", "2/3", "bar"),
        (2 * EIGHTH, "6/8", "2/3", "beat"),
        (4 * EIGHTH, "6/8", "4/3", "beat"),
        (5 * EIGHTH, "4/4", "5/4", "half bar"),
        (5 * EIGHTH / 2, "4/4", "5/4", "beat"),
        (3 * EIGHTH, "3+4/8", "3/7", "bar"),
        (Fraction(3), "4/4", "3/4", "bar"),
        (Fraction(2, 3), "4/4", "2/3", "beat"),
    ],
)
def test_a_group_pulls_against_the_nearest_level_it_does_not_fit(
    length: Fraction, meter: str, ratio: str, level: str
) -> None:
    against = crossed(length, parse(meter))
    assert against is not None
    assert (length / against[0], against[1]) == (Fraction(ratio), level)


@pytest.mark.parametrize(
    ("length", "meter"),
    [
        (1, "3/4"),
        (2, "4/4"),
        (3, "3/4"),
        (6, "3/4"),
        ("3/2", "6/8"),
        ("1/4", "2/4"),
        ("1/3", "2/4"),
    ],
)
def test_a_group_that_fills_the_meter_pulls_nowhere(length: int | str, meter: str) -> None:
    assert crossed(Fraction(length), parse(meter)) is None


def test_a_ratio_has_no_number_above_sixteen() -> None:
    assert crossed(Fraction(16, 15), parse("2/4")) == (Fraction(1), "beat")
    assert crossed(Fraction(15, 16), parse("2/4")) == (Fraction(1), "beat")
    assert crossed(Fraction(17, 16), parse("2/4")) is None
    assert crossed(Fraction(16, 17), parse("2/4")) is None


@pytest.mark.parametrize(
    ("meter", "told"),
    [
        ("2/4", {"1": "beat", "2": "bar"}),
        ("4/4", {"1": "beat", "2": "half bar", "4": "bar"}),
        ("6/8", {"1/2": "pulse", "3/2": "beat", "3": "bar"}),
        ("12/8", {"1/2": "pulse", "3/2": "beat", "3": "half bar", "6": "bar"}),
        ("3+4/8", {"1/2": "pulse", "7/2": "bar"}),
        ("1/4", {"1": "beat"}),
    ],
)
def test_a_meter_counts_in_its_pulse_beat_half_bar_and_bar(
    meter: str, told: dict[str, str]
) -> None:
    assert levels(parse(meter)) == {Fraction(length): name for length, name in told.items()}


@given(
    st.builds(Fraction, st.integers(1, 64), st.sampled_from([1, 2, 3, 4, 6, 8])),
    st.sampled_from(["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "2/2", "3+4/8", "5/8"]),
)
def test_what_is_crossed_is_never_filled_by_whole_groups(length: Fraction, text: str) -> None:
    against = crossed(length, parse(text))
    if against is not None:
        level, name = against
        assert levels(parse(text))[level] == name
        ends = {length * k for k in range(1, 200)}
        assert level not in ends and length not in {level * k for k in range(1, 200)}


def test_a_pickup_does_not_shorten_the_quarter() -> None:
    (stream,) = texture_of(lay(score(V="6/8 e | q. q. | q. q. | 2/4 q q"))).streams
    six, two = stream.runs
    assert (six.meter.text, len(six.bars), two.meter.text) == ("6/8", 3, "2/4")
    assert six.bars[0].length * 6 == six.full
    assert six.quarter * Fraction(3, 2) == two.quarter
