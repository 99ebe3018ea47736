"""What a change of meter keeps. What a beat is: common practice, no source; the rest is
arithmetic, held against the lengths of the notes themselves."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.meter import Meter, parse
from companion.rhythm.tempo_relation import Same, meter_change, meter_changes, pace_after
from companion.score.laying import lay
from companion.score.texture import texture_of
from tests.score.written import score

METERS = st.sampled_from(["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "2/2", "3/8", "5/8", "3+2/8"])
PACES = st.builds(Fraction, st.integers(1, 12), st.integers(1, 12))


@given(METERS, METERS, PACES, PACES)
def test_proportions_are_those_of_the_notes_themselves(
    old: str, new: str, before: Fraction, after: Fraction
) -> None:
    was, now = parse(old), parse(new)
    change = meter_change(1, was, now, before, after)
    assert change.beat * (was.beats[0] * before) == now.beats[0] * after
    assert change.whole_bar * sum(was.beats) * before == sum(now.beats) * after
    assert change.quarter * before == after
    assert change.pulse * was.beats[0] * before / was.divisions[0] == (
        now.beats[0] * after / now.divisions[0]
    )


@given(METERS, METERS, st.sampled_from(Same))
def test_what_the_relation_keeps_is_kept(old: str, new: str, same: Same) -> None:
    was, now = parse(old), parse(new)
    change = meter_change(1, was, now, Fraction(1), pace_after(same, was, now, Fraction(1)))
    if same is Same.NOTE:
        assert change.keeps_notes
    elif was.is_even and now.is_even:
        assert change.keeps_beat


def test_unequal_beats_keep_no_beat_though_the_first_is_as_long_as_before() -> None:
    one = Fraction(1)
    for old, new in (("3+2/8", "6/8"), ("6/8", "3+2/8")):
        change = meter_change(1, parse(old), parse(new), one, one)
        assert change.beat == 1 and not change.keeps_beat
    assert not meter_change(1, parse("2/4"), parse("2/2"), one, one).keeps_beat


def test_only_changes_are_told_and_unmeasured_bars_are_passed_over() -> None:
    six, two = parse("6/8"), parse("2/4")
    one, longer = Fraction(1), Fraction(3, 2)
    bars: list[tuple[int, Meter | None, Fraction]] = [
        (1, six, one),
        (2, six, one),
        (3, None, one),
        (4, two, longer),
        (5, two, longer),
        (6, two, one),
    ]
    assert [(c.bar, c.quarter) for c in meter_changes(bars)] == [
        (4, longer),
        (6, Fraction(2, 3)),
    ]


def test_the_lengths_come_from_the_score_as_it_is_laid() -> None:
    (stream,) = texture_of(lay(score(V="6/8 q. q. | q. q. | 2/4 q q | q q"))).streams
    bars = [(bar.number, run.meter, run.quarter) for run in stream.runs for bar in run.bars]
    (change,) = meter_changes(bars)
    assert (change.bar, change.keeps_beat, change.quarter) == (3, True, Fraction(3, 2))
