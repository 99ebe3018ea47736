"""What a change of meter keeps. What a beat is: common practice, no source; the rest is
arithmetic, held against the lengths of the notes themselves."""

from fractions import Fraction

import pytest
from companion.findings.meter_change_feel import changes_of_feel, feel, feel_told, how_long
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.meter import Meter, parse
from companion.rhythm.tempo_relation import Same, pace_after
from companion.score.laying import lay
from companion.score.texture import meter_runs, texture_of
from tests.score.written import score


def told(old: str, new: str, same: Same, bpm: int | None = None) -> str:
    after = pace_after(same, parse(old), parse(new), Fraction(1))
    change = feel(5, parse(old), parse(new), Fraction(1), after)
    return feel_told(change, None if bpm is None else Fraction(bpm))


@pytest.mark.parametrize(
    ("old", "new", "same", "sentence"),
    [
        (
            "6/8",
            "2/4",
            Same.BEAT,
            "beat stays at 72; eighths go from 3 to 2 a beat, "
            "so an eighth becomes half as long again",
        ),
        (
            "2/4",
            "6/8",
            Same.BEAT,
            "beat stays at 72; eighths go from 2 to 3 a beat, "
            "so an eighth becomes two thirds as long",
        ),
        (
            "6/8",
            "2/4",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to quarters, so the beat becomes "
            "two thirds as long (72 to 108); still 2 beats a bar, the bar two thirds as long",
        ),
        (
            "6/8",
            "3/4",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to quarters, so the beat becomes "
            "two thirds as long (72 to 108); 2 beats a bar become 3, the bar as long as before",
        ),
        (
            "4/4",
            "3/4",
            Same.NOTE,
            "beat stays at 72, note values too; "
            "4 beats a bar become 3, the bar three quarters as long",
        ),
        (
            "2/2",
            "6/8",
            Same.BEAT,
            "beat stays at 72; it is now a dotted quarter instead of a half, "
            "so every note value becomes a third as long again",
        ),
        (
            "2/2",
            "4/4",
            Same.NOTE,
            "note values stay; beats go from halves to quarters, so the beat becomes "
            "half as long (72 to 144); 2 beats a bar become 4, the bar as long as before",
        ),
        (
            "6/8",
            "3+4/8",
            Same.NOTE,
            "note values stay; beats go from dotted quarters to 3 + 4 eighths; "
            "still 2 beats a bar, the bar 7/6 times as long",
        ),
    ],
)
def test_a_change_is_told_in_one_sentence(old: str, new: str, same: Same, sentence: str) -> None:
    assert told(old, new, same, 72) == sentence


def test_without_a_tempo_none_is_named() -> None:
    assert told("6/8", "2/4", Same.BEAT).startswith("beat stays; eighths go")


def test_where_nothing_stays_both_are_told() -> None:
    change = feel(5, parse("6/8"), parse("2/4"), Fraction(1), Fraction(5, 4))
    assert not change.keeps_beat and not change.keeps_notes
    assert feel_told(change, Fraction(72)) == (
        "beat and note values change: the beat becomes 5/6 times as long (72 to 86.4), "
        "every note value a quarter as long again"
    )


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        ("3/2", "half as long again"),
        ("2", "twice as long"),
        ("2/3", "two thirds as long"),
        ("4/3", "a third as long again"),
        ("7/5", "7/5 times as long"),
    ],
)
def test_common_proportions_have_words(ratio: str, words: str) -> None:
    assert how_long(Fraction(ratio)) == words


METERS = st.sampled_from(["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "2/2", "3/8", "5/8", "3+2/8"])
PACES = st.builds(Fraction, st.integers(1, 12), st.integers(1, 12))


@given(METERS, METERS, PACES, PACES)
def test_proportions_are_those_of_the_notes_themselves(
    old: str, new: str, before: Fraction, after: Fraction
) -> None:
    was, now = parse(old), parse(new)
    change = feel(1, was, now, before, after)
    assert change.beat * (was.beats[0] * before) == now.beats[0] * after
    assert change.whole_bar * sum(was.beats) * before == sum(now.beats) * after
    assert change.quarter * before == after
    assert change.pulse * was.beats[0] * before / was.divisions[0] == (
        now.beats[0] * after / now.divisions[0]
    )
    assert feel_told(change)


@given(METERS, METERS, st.sampled_from(Same))
def test_what_the_relation_keeps_is_kept(old: str, new: str, same: Same) -> None:
    was, now = parse(old), parse(new)
    change = feel(1, was, now, Fraction(1), pace_after(same, was, now, Fraction(1)))
    if same is Same.NOTE:
        assert change.keeps_notes
    elif was.is_even and now.is_even:
        assert change.keeps_beat


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
    assert [(c.bar, c.quarter) for c in changes_of_feel(bars)] == [
        (4, longer),
        (6, Fraction(2, 3)),
    ]


def test_the_lengths_come_from_the_score_as_it_is_laid() -> None:
    (stream,) = texture_of(lay(score(V="6/8 q. q. | q. q. | 2/4 q q | q q"))).streams
    bars = [(bar.number, run.meter, run.quarter) for run in meter_runs(stream) for bar in run.bars]
    (change,) = changes_of_feel(bars)
    assert (change.bar, change.keeps_beat, change.quarter) == (3, True, Fraction(3, 2))
