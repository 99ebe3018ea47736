"""Ladders, ramps, two tempos by turns: when every beat falls, by arithmetic of one's own.

The plans themselves are common practice of teaching, no source.
"""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, with_tempo
from companion.click.plan.silences import Every, Fade, Growing, RandomSilence
from companion.click.plan.tempo_plan import (
    AfterFailing,
    Fixed,
    Ladder,
    LadderPlace,
    Marked,
    Ramp,
    Turns,
    natural_times,
    place_after,
    tempo_on,
)
from companion.errors import RequestError
from tests.click.asking import seconds, take, wished
from tests.score.written import score

TWO = score(V="2/4 q q")
F = Fraction
tempos = st.fractions(10, 400, max_denominator=12)


def beats_of(planned: ClickPlan) -> list[Fraction]:
    """How long each beat lasts, in seconds, the last one up to the end."""
    struck = [*seconds(planned, Layer.BEAT), planned.seconds]
    return [after - at for at, after in pairwise(struck)]


def test_a_ladder_climbs_by_its_step_and_stays_each_as_often_as_asked() -> None:
    planned = wished(TWO, Ladder(F(60), F(72), F(6), each=2), layers=(Layer.BEAT,))
    expected = [F(60, bpm) for bpm in (60, 60, 66, 66, 72, 72) for _ in range(2)]
    assert planned.repeat == 6
    assert beats_of(planned) == expected


def test_the_last_step_is_the_goal_even_where_it_is_smaller() -> None:
    assert list(Ladder(F(60), F(70), F(4)).tempos) == [60, 64, 68, 70]
    assert list(Ladder(F(60), F(61), F(4)).tempos) == [60, 61]


def test_a_ladder_also_leads_down() -> None:
    assert list(Ladder(F(90), F(60), F(10)).tempos) == [90, 80, 70, 60]


def test_more_times_than_the_ladder_has_go_on_at_the_goal_and_fewer_break_off() -> None:
    ladder = Ladder(F(60), F(120), F(60))
    longer = wished(TWO, ladder, layers=(Layer.BEAT,), repeat=4)
    assert beats_of(longer) == [1, 1] + [F(1, 2)] * 6
    assert beats_of(wished(TWO, ladder, layers=(Layer.BEAT,), repeat=1)) == [1, 1]


@settings(deadline=None)
@given(tempos, tempos, st.fractions(1, 40, max_denominator=4), st.integers(1, 3))
def test_every_ladder_begins_ends_and_steps_as_it_says(
    start: Fraction, goal: Fraction, step: Fraction, each: int
) -> None:
    if start == goal or abs(goal - start) / step * each > 500:
        return
    ladder = Ladder(start, goal, step, each)
    tempos = ladder.tempos
    assert (tempos[0], tempos[-1]) == (start, goal)
    ways = [abs(b - a) for a, b in pairwise(tempos)]
    assert all(way == step for way in ways[:-1])
    assert 0 < ways[-1] <= step
    assert natural_times(ladder) == len(tempos) * each


def test_two_tempos_take_turns() -> None:
    planned = wished(TWO, Turns(F(60), F(120)), layers=(Layer.BEAT,), repeat=5)
    assert beats_of(planned) == [1, 1, F(1, 2), F(1, 2), 1, 1, F(1, 2), F(1, 2), 1, 1]
    assert natural_times(Turns(F(60), F(90), each=3)) == 6


def test_a_ramp_goes_from_tempo_to_tempo_and_every_beat_differs_by_the_same() -> None:
    # From 60 to 120: a beat shrinks from one second at the start to a half at the end, so
    # four beats last 4 × (1 + 1/2) / 2 = 3 seconds, and each is 1/8 shorter than the last.
    planned = wished(score(V="4/4 q q q q"), Ramp(F(60), F(120)), layers=(Layer.BEAT,))
    assert planned.seconds == 3
    assert beats_of(planned) == [F(15, 16), F(13, 16), F(11, 16), F(9, 16)]


def test_a_ramp_runs_on_through_the_repeats_without_a_seam() -> None:
    short = wished(TWO, Ramp(F(60), F(120), over=2), layers=(Layer.BEAT,))
    long = wished(score(V="4/4 q q q q"), Ramp(F(60), F(120)), layers=(Layer.BEAT,))
    assert short.repeat == 2
    assert seconds(short) == seconds(long)
    after = wished(TWO, Ramp(F(60), F(120), over=2), layers=(Layer.BEAT,), repeat=3)
    assert beats_of(after)[4:] == [F(1, 2), F(1, 2)]


def test_a_ramp_without_an_end_takes_all_the_times_there_are() -> None:
    planned = wished(TWO, Ramp(F(60), F(120)), layers=(Layer.BEAT,), repeat=2)
    assert seconds(planned) == seconds(wished(TWO, Ramp(F(60), F(120), over=2)))


@settings(deadline=None)
@given(tempos, tempos, st.integers(1, 5))
def test_beats_of_a_ramp_grow_or_shrink_evenly_and_lie_between_its_tempos(
    start: Fraction, goal: Fraction, over: int
) -> None:
    planned = wished(TWO, Ramp(start, goal, over), layers=(Layer.BEAT,))
    lengths = beats_of(planned)
    assert len({after - before for before, after in pairwise(lengths)}) == 1
    low, high = sorted((60 / start, 60 / goal))
    assert all(low <= length <= high for length in lengths)
    assert planned.seconds == len(lengths) * (low + high) / 2


def test_the_tempo_counts_the_felt_beats_of_my_own_part() -> None:
    both = score(V="6/8 q. q.", C="3/4 q q q")
    ladder = Ladder(F(60), F(120), F(60))
    assert beats_of(wished(take(both, part=0), ladder, layers=(Layer.BEAT,))) == [
        *(1, 1),
        *(F(1, 2), F(1, 2)),
    ]
    assert beats_of(wished(take(both, part=1), ladder, layers=(Layer.BEAT,))) == [
        *(1, 1, 1),
        *(F(1, 2), F(1, 2), F(1, 2)),
    ]


def test_the_count_in_is_counted_at_the_tempo_that_follows() -> None:
    planned = wished(TWO, Ramp(F(60), F(120)), layers=(Layer.BEAT,), count_in=1)
    assert beats_of(planned)[:2] == [1, 1]
    assert str(planned.tempo) == "quarter = 60"


def test_another_tempo_keeps_every_stroke() -> None:
    chosen = take(TWO)
    slow = wished(chosen, 60, count_in=1, repeat=3)
    fast = with_tempo(slow, chosen, Fixed(F(120)))
    assert fast.strokes == slow.strokes
    assert fast.seconds == slow.seconds / 2


def test_attempts_that_hold_lead_up_and_the_top_can_only_be_held() -> None:
    ladder = Ladder(F(60), F(72), F(6), each=2)
    climb = LadderPlace()
    found = []
    for _ in range(7):
        found.append(tempo_on(ladder, climb))
        climb = place_after(ladder, climb, has_held=True)
    assert found == [60, 60, 66, 66, 72, 72, 72]
    assert climb.index == len(ladder.tempos) - 1


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        (AfterFailing.SAME, LadderPlace(2, 0)),
        (AfterFailing.BACK_ONE, LadderPlace(1, 0)),
        (AfterFailing.FROM_START, LadderPlace(0, 0)),
    ],
)
def test_after_a_failed_attempt_the_ladder_does_what_was_agreed(
    after: AfterFailing, expected: LadderPlace
) -> None:
    ladder = Ladder(F(60), F(72), F(6), 3, after)
    assert place_after(ladder, LadderPlace(2, 1), has_held=False) == expected
    assert place_after(ladder, LadderPlace(0, 2), has_held=False) == LadderPlace(0, 0)


@settings(deadline=None)
@given(st.lists(st.booleans(), max_size=30), st.sampled_from(AfterFailing), st.integers(1, 3))
def test_nobody_falls_off_a_ladder(went: list[bool], after: AfterFailing, each: int) -> None:
    ladder = Ladder(F(60), F(72), F(6), each, after)
    climb = LadderPlace()
    for has_held in went:
        climb = place_after(ladder, climb, has_held=has_held)
        assert tempo_on(ladder, climb) in ladder.tempos


@pytest.mark.parametrize(
    "make",
    [
        lambda: Fixed(F(9)),
        lambda: Ladder(F(60), F(401), F(1)),
        lambda: Ladder(F(60), F(60), F(1)),
        lambda: Ladder(F(60), F(90), F(0)),
        lambda: Ladder(F(60), F(90), F(1, 10**9)),
        lambda: Turns(F(5), F(90)),
    ],
)
def test_a_plan_nobody_can_follow_is_refused_at_once(make: object) -> None:
    with pytest.raises(RequestError):
        make()  # type: ignore[operator]


LIMITS: list[tuple[Callable[[Fraction], object], str, str]] = [
    (lambda n: Ladder(F(60), F(90), F(30), int(n)), "1 99", "0 100"),
    (lambda n: Turns(F(60), F(90), int(n)), "1 99", "0 100"),
    (lambda n: Ramp(F(60), F(90), int(n)), "1 999", "0 1000"),
    (Marked, "1/10 4", "9/100 401/100"),
    (lambda n: Marked(rit=n), "1/10 1", "9/100 11/10"),
    (lambda n: Marked(hold=n), "0 16", "-1/2 33/2"),
    (lambda n: Every(int(n)), "2 99", "1 100"),
    (lambda n: Growing(int(n)), "1 99", "0 100"),
    (lambda n: Fade(Layer.BEAT, int(n)), "1 99", "0 100"),
    (RandomSilence, "1/100 99/100", "0 1"),
    (lambda n: wished(TWO, count_in=int(n)), "0 16", "-1 17"),
    (lambda n: wished(TWO, repeat=int(n)), "1 999", "0 1000"),
]


@pytest.mark.parametrize(("make", "played", "refused"), LIMITS)
def test_what_a_player_may_ask_for_reaches_just_so_far(
    make: Callable[[Fraction], object], played: str, refused: str
) -> None:
    for number in map(Fraction, played.split()):
        make(number)
    for number in map(Fraction, refused.split()):
        with pytest.raises(RequestError):
            make(number)
