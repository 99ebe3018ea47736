"""Where the click leaves. Every nth bar, growing gaps, chance: common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import Layer, PartRhythm
from companion.click.plan.plan import ClickPlan, shares_in
from companion.click.plan.silences import (
    Every,
    Fade,
    Growing,
    Only,
    RandomSilence,
    Silence,
    SilentSide,
    Unit,
)
from companion.click.words.layer_words import parse_fade, parse_silence
from companion.errors import RequestError
from tests.click.asking import ALL, wished
from tests.score.written import score, score_of

F = Fraction
BEAT = (Layer.BEAT,)
FOUR_BARS = score(V="2/4 q q | q q | q q | q q")


def bars_heard(planned: ClickPlan) -> list[int]:
    """Bars that sound, counted through the repeats from 1; the count-in is left out."""
    length = planned.pass_length / len(planned.bar_starts)
    sounding = [s for s in planned.strokes if s.bar]
    return sorted({int((s.at - planned.count_in_length) // length) + 1 for s in sounding})


def test_every_fourth_bar_is_silent() -> None:
    planned = wished(FOUR_BARS, layers=BEAT, silences=(Every(4),), repeat=2)
    assert bars_heard(planned) == [1, 2, 3, 5, 6, 7]


def test_bars_are_counted_on_through_the_repeats_of_a_short_passage() -> None:
    planned = wished(score(V="2/4 q q"), layers=BEAT, silences=(Every(4),), repeat=9)
    assert bars_heard(planned) == [1, 2, 3, 5, 6, 7, 9]


def test_every_third_beat_can_be_silent_too() -> None:
    planned = wished(FOUR_BARS, layers=BEAT, silences=(Every(3, Unit.BEATS),))
    assert [s.at for s in planned.strokes] == [0, 1, 3, 4, 6, 7]


def test_beats_are_counted_on_through_the_repeats_too() -> None:
    planned = wished(score(V="2/4 q q"), layers=BEAT, silences=(Every(3, Unit.BEATS),), repeat=4)
    assert [s.at for s in planned.strokes] == [0, 1, 3, 4, 6, 7]


def test_whole_times_through_can_be_silent() -> None:
    planned = wished(score(V="2/4 q q"), layers=BEAT, silences=(Every(2, Unit.TIMES),), repeat=5)
    assert bars_heard(planned) == [1, 3, 5]


def test_gaps_grow_by_one_and_stay_at_the_longest() -> None:
    # Two sound, one is silent, two sound, two are silent, two sound, three are silent …
    planned = wished(score(V="2/4 q q"), layers=BEAT, silences=(Growing(3),), repeat=20)
    assert bars_heard(planned) == [1, 2, 4, 5, 8, 9, 13, 14, 18, 19]


def test_the_count_in_is_never_silent() -> None:
    planned = wished(FOUR_BARS, layers=BEAT, silences=(RandomSilence(F(99, 100), 3),), count_in=2)
    assert len([s for s in planned.strokes if s.bar == 0]) == 4


def test_chance_is_the_same_for_the_same_seed_and_other_for_another() -> None:
    heard = [
        bars_heard(
            wished(FOUR_BARS, layers=BEAT, silences=(RandomSilence(F(1, 2), seed),), repeat=20)
        )
        for seed in (7, 7, 8)
    ]
    assert heard[0] == heard[1] != heard[2]
    # The very gaps of seed 7 are part of the promise: another machine draws the same.
    assert heard[0][:6] == [2, 3, 5, 6, 7, 11]


def test_over_a_long_time_chance_leaves_out_its_share() -> None:
    planned = wished(FOUR_BARS, layers=BEAT, silences=(RandomSilence(F(3, 10), 1),), repeat=500)
    # 2,000 bars: five standard deviations of a share of 0.3 are 0.05.
    assert abs(1 - len(bars_heard(planned)) / 2000 - 0.3) < 0.05


def test_beats_are_drawn_one_by_one_and_all_layers_of_a_beat_leave_together() -> None:
    layers = (Layer.BEAT, Layer.DIVISION)
    planned = wished(FOUR_BARS, layers=layers, silences=(RandomSilence(F(1, 2), 5, Unit.BEATS),))
    beats = {s.at for s in planned.strokes if s.layer is Layer.BEAT}
    assert 0 < len(beats) < 8
    assert {s.at // 1 for s in planned.strokes} == beats


def test_only_my_side_sounds_where_two_sides_pull_and_everything_elsewhere() -> None:
    one_beat = score(V="3/4 q e3 e3 e3 q", C="3/4 q e e q")
    mine = wished(one_beat, layers=ALL, silences=(Only(SilentSide.MINE),))
    assert {s.layer for s in mine.strokes if 1 <= s.at < 2} == {Layer.MINE, Layer.RHYTHM}
    elsewhere = {s.layer for s in mine.strokes if s.at < 1}
    assert {Layer.BEAT, Layer.DIVISION, Layer.BAR} <= elsewhere


def test_only_their_side_sounds() -> None:
    cello = PartRhythm(1, "C")
    both = score_of({"V": "6/8 *", "C": "2/4 *"})
    theirs = wished(both, layers=(*ALL, cello), silences=(Only(SilentSide.THEIRS),))
    assert {s.layer for s in theirs.strokes} == {Layer.THEIRS, cello}


def test_a_layer_fades_out_over_the_times_through() -> None:
    fades = (Fade(Layer.DIVISION, 4),)
    planned = wished(score(V="2/4 q q"), layers=(Layer.BEAT, Layer.DIVISION), fades=fades, repeat=6)
    shares = [s.share for s in planned.strokes if s.layer is Layer.DIVISION]
    assert shares == [share for share in (F(1), F(3, 4), F(1, 2), F(1, 4)) for _ in range(4)]
    assert {s.share for s in planned.strokes if s.layer is Layer.BEAT} == {1}


def test_what_is_left_of_each_stroke_is_told_time_by_time() -> None:
    # Every third bar is silent, the beat fades over two times: two bars a time through.
    fades = (Fade(Layer.BEAT, 2),)
    planned = wished(score(V="2/4 q q | q q"), layers=BEAT, fades=fades, silences=(Every(3),))
    assert [list(shares_in(planned, number)) for number in range(3)] == [
        [F(1)] * 4,
        [F(0), F(0), F(1, 2), F(1, 2)],
        [F(0)] * 4,
    ]


def test_a_layer_fades_in_from_silence() -> None:
    fades = (Fade(Layer.BEAT, 2, comes=True),)
    planned = wished(score(V="2/4 q q"), layers=BEAT, fades=fades, repeat=4, count_in=1)
    assert [s.share for s in planned.strokes] == [*[1, 1], *[F(1, 2)] * 2, *[1] * 4]


every = st.builds(Every, st.integers(2, 9), st.sampled_from(Unit))
growing = st.builds(Growing, st.integers(1, 9), st.sampled_from(Unit))
chance = st.builds(
    RandomSilence,
    st.fractions(F(1, 20), F(19, 20), max_denominator=20),
    st.integers(0, 99),
    st.sampled_from(Unit),
)
only = st.builds(Only, st.sampled_from(SilentSide))


@settings(deadline=None)
@given(st.lists(every | growing | chance | only, min_size=1, max_size=3), st.integers(1, 6))
def test_silences_only_ever_take_away_and_several_take_away_what_each_takes(
    silences: list[Silence], repeat: int
) -> None:
    pulling = score(V="6/8 * | 3/8 * | 6/8 *", C="2/4 * | 3/8 * | 2/4 *")
    full = wished(pulling, layers=ALL, repeat=repeat, count_in=1).strokes
    heard = wished(pulling, layers=ALL, repeat=repeat, count_in=1, silences=tuple(silences))
    alone = [
        set(wished(pulling, layers=ALL, repeat=repeat, count_in=1, silences=(one,)).strokes)
        for one in silences
    ]
    assert list(heard.strokes) == [s for s in full if all(s in kept for kept in alone)]


@pytest.mark.parametrize(
    ("text", "silence"),
    [
        ("every 4", Every(4)),
        ("Every 4th bar", Every(4)),
        ("every 3 beats", Every(3, Unit.BEATS)),
        ("every 2 times", Every(2, Unit.TIMES)),
        ("growing", Growing(8)),
        ("growing to 4 beats", Growing(4, Unit.BEATS)),
        ("random 0.3", RandomSilence(F(3, 10), 7)),
        ("random 30% beats", RandomSilence(F(3, 10), 7, Unit.BEATS)),
        ("mine only", Only(SilentSide.MINE)),
        ("only theirs", Only(SilentSide.THEIRS)),
        ("in conflicts only mine sounds", Only(SilentSide.MINE)),
    ],
)
def test_silences_are_asked_for_in_words(text: str, silence: Silence) -> None:
    assert parse_silence(text, seed=7) == silence


@pytest.mark.parametrize(
    "text",
    [
        *("", "every", "every 1", "every 100", "every -2", "every 4 hours", "growing to 0"),
        *("random", "random 0", "random 1", "random 1.5", "random 100%", "mine", "both only"),
    ],
)
def test_a_silence_that_means_nothing_is_refused(text: str) -> None:
    with pytest.raises(RequestError) as told:
        parse_silence(text)
    assert told.value.next


def test_fades_are_asked_for_in_words() -> None:
    assert parse_fade("theirs out over 4") == (Layer.THEIRS, 4, False)
    assert parse_fade("rhythm:Violin II in over 6 times") == ("rhythm:Violin II", 6, True)


@pytest.mark.parametrize(
    "text", ["", "theirs", "theirs over 4", "out over 4", "theirs out over x", "them out over 4"]
)
def test_a_fade_that_means_nothing_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        parse_fade(text)


def test_a_fade_over_no_time_is_refused() -> None:
    with pytest.raises(RequestError):
        Fade(Layer.BEAT, 0)
