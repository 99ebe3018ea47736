"""The strokes of a conflict: mine, theirs, and both as one rhythm."""

from fractions import Fraction
from itertools import accumulate, pairwise

import pytest

from companion.click.plan.layers import Layer
from companion.click.plan.plan import plan
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from tests.click.asking import click, take, times
from tests.score.written import score, score_of

# J. Schillinger, The Schillinger System of Musical Composition (1946), Book I: durations of
# the resultants of binary synchronisation over the common cycle of m x n.
SCHILLINGER = {
    (3, 2): "2 1 1 2",
    (4, 3): "3 1 2 2 1 3",
    (5, 2): "2 2 1 1 2 2",
    (5, 3): "3 2 1 3 1 2 3",
    (5, 4): "4 1 3 2 2 3 1 4",
    (6, 5): "5 1 4 2 3 3 2 4 1 5",
    (7, 2): "2 2 2 1 1 2 2 2",
    (7, 3): "3 3 1 2 3 2 1 3 3",
    (7, 4): "4 3 1 4 2 2 4 1 3 4",
    (7, 5): "5 2 3 4 1 5 1 4 3 2 5",
    (7, 6): "6 1 5 2 4 3 3 4 2 5 1 6",
    (8, 3): "3 3 2 1 3 3 1 2 3 3",
    (8, 5): "5 3 2 5 1 4 4 1 5 2 3 5",
    (8, 7): "7 1 6 2 5 3 4 4 3 5 2 6 1 7",
    (9, 2): "2 2 2 2 1 1 2 2 2 2",
    (9, 4): "4 4 1 3 4 2 2 4 3 1 4 4",
    (9, 5): "5 4 1 5 3 2 5 2 3 5 1 4 5",
    (9, 7): "7 2 5 4 3 6 1 7 1 6 3 4 5 2 7",
    (9, 8): "8 1 7 2 6 3 5 4 4 5 3 6 2 7 1 8",
}


def quarters(count: int) -> str:
    """A meter of so many quarter beats, also where plain 6/4 would be two."""
    return f"{'+'.join('1' * count)}/4"


@pytest.mark.parametrize(("ratio", "row"), SCHILLINGER.items())
def test_two_meters_in_one_bar_strike_the_published_resultant(
    ratio: tuple[int, int], row: str
) -> None:
    m, n = ratio
    pulling = score_of({"V": f"{quarters(m)} * | *", "C": f"{quarters(n)} * | *"})
    planned = click(pulling, layers=[Layer.RESULTANT])
    struck = [s.at / planned.length * 2 for s in planned.strokes if s.bar == 1]
    lengths = [after - at for at, after in pairwise([*struck, Fraction(1)])]
    assert [d * m * n for d in lengths] == [int(d) for d in row.split()]
    again = [s.at / planned.length * 2 - 1 for s in planned.strokes if s.bar == 2]
    assert again == struck


def test_unequal_beats_strike_where_they_fall() -> None:
    """Eight eighths as 3+2+3 against four quarters (common practice, no source)."""
    pulling = score_of({"V": "3+2+3/8 * | *", "C": "4/4 * | *"})
    chosen = take(pulling)
    for layer, eighths in ((Layer.MINE, [0, 3, 5]), (Layer.THEIRS, [0, 2, 4, 6])):
        planned = click(chosen, layers=[layer])
        bar = planned.length / 2
        assert [s.at / bar * 8 for s in planned.strokes if s.bar == 1] == eighths


@pytest.mark.parametrize("ratio", SCHILLINGER)
def test_each_side_is_even_and_both_meet_on_the_first_beat_alone(ratio: tuple[int, int]) -> None:
    m, n = ratio
    pulling = score_of({"V": f"{quarters(m)} *", "C": f"{quarters(n)} *"})
    lower = click(take(pulling, part=1), layers=[Layer.MINE, Layer.THEIRS])
    bar = lower.length
    mine = [s.at / bar for s in lower.strokes if s.layer is Layer.MINE]
    theirs = [s.at / bar for s in lower.strokes if s.layer is Layer.THEIRS]
    assert mine == [Fraction(k, n) for k in range(n)]
    assert theirs == [Fraction(k, m) for k in range(m)]
    assert [s.at for s in lower.strokes if s.is_accented] == [0, 0]


def test_three_against_two_meets_on_the_beat() -> None:
    planned = click(score(V="6/8 *", C="2/4 *"))
    assert times(planned) == ["0>", "1"]
    assert times(planned, Layer.MINE) == ["0>", "1/3", "2/3", "1>", "4/3", "5/3"]
    assert times(planned, Layer.THEIRS) == ["0>", "1/2", "1>", "3/2"]


def test_the_same_conflict_seen_from_the_other_side() -> None:
    planned = click(take(score(V="6/8 *", C="2/4 *"), part=1))
    assert times(planned, Layer.MINE) == ["0>", "1/2", "1>", "3/2"]
    assert times(planned, Layer.THEIRS) == ["0>", "1/3", "2/3", "1>", "4/3", "5/3"]


def test_sides_sound_only_in_the_bars_that_pull() -> None:
    planned = click(score(V="2/4 * | 6/8 * | 2/4 *", C="2/4 * | * | *"))
    struck = [s.bar for s in planned.strokes if s.layer is not Layer.BEAT]
    assert set(struck) == {2}
    assert len(times(planned)) == 6


def test_triplets_against_eighths_under_one_meter_pull_as_sounding() -> None:
    planned = click(score(V="2/4 e3 e3 e3 e3 e3 e3", C="2/4 e e e e"))
    assert times(planned, Layer.MINE)[:3] == ["0>", "1/3", "2/3"]
    assert times(planned, Layer.THEIRS)[:2] == ["0>", "1/2"]


def test_sides_that_count_other_beats_strike_in_the_same_quarter() -> None:
    """Triplets on the third quarter of 4/4 against two eighths there in 2/2, from either part."""
    pulling = score(V="4/4 h e3 e3 e3 q", C="2/2 h e e q")
    upper, lower = click(pulling), click(take(pulling, part=1))
    assert times(upper, Layer.MINE) == ["2>", "7/3", "8/3"]
    assert times(upper, Layer.THEIRS) == ["2>", "5/2"]
    assert times(lower, Layer.MINE) == times(upper, Layer.THEIRS)
    assert times(lower, Layer.THEIRS) == times(upper, Layer.MINE)


def test_a_conflict_i_only_listen_to_is_all_theirs() -> None:
    trio = score(V="6/8 q. q.", A="2/4 q q", C="4/4 w")
    heard = [Conflict(1, 1, (3, 2), "beat", "meter", (Side(3, ("P1",)), Side(2, ("P2",))))]
    planned = plan(take(trio, part=2), heard, tempo_bpm=Fraction(60))
    assert times(planned, Layer.MINE) == []
    assert times(planned, Layer.THEIRS)[:5] == ["0>", "1/3", "1/2", "2/3", "1>"]


def test_while_my_own_side_pulls_what_others_do_is_silent() -> None:
    trio = score(V="6/8 *", A="2/4 *", C="6/8 *")
    mine = Conflict(1, 1, (3, 2), "beat", "meter", (Side(3, ("P1",)), Side(2, ("P2",))))
    other = Conflict(1, 1, (5, 2), "beat", "rhythm", (Side(5, ("P3",)), Side(2, ("P2",))))
    one = plan(take(trio), [mine], tempo_bpm=Fraction(60))
    assert plan(take(trio), [other, mine], tempo_bpm=Fraction(60)).strokes == one.strokes


def test_several_conflicts_in_one_bar_strike_each_place_once() -> None:
    trio = score(V="2/4 e3 e3 e3 q", A="2/4 e e q", C="2/4 s s s s q")
    chosen = take(trio)
    planned = click(chosen, layers=[Layer.MINE, Layer.THEIRS, Layer.RESULTANT])
    assert times(planned, Layer.MINE)[:3] == ["0>", "1/3", "2/3"]
    assert times(planned, Layer.THEIRS) == ["0>", "1/4", "1/2", "3/4"]
    both = {s.at for s in planned.strokes if s.layer in {Layer.MINE, Layer.THEIRS}}
    assert [s.at for s in planned.strokes if s.layer is Layer.RESULTANT] == sorted(both)


def test_two_hands_at_one_instrument_are_two_sides() -> None:
    piano = score(P="2/4 q q")
    hands = Conflict(1, 1, (3, 2), "beat", "rhythm", (Side(3, ("P1",)), Side(2, ("P1",))))
    planned = plan(take(piano), [hands], tempo_bpm=Fraction(60))
    assert times(planned, Layer.MINE)[:3] == ["0>", "1/3", "2/3"]
    assert times(planned, Layer.THEIRS)[:2] == ["0>", "1/2"]


def test_a_conflict_in_an_upbeat_keeps_the_places_of_the_full_bar() -> None:
    # The upbeat is the second of two beats: its three against two begin there.
    upbeat = score(V="6/8 e e e | *", C="2/4 e e | *")
    planned = click(upbeat)
    assert times(planned, Layer.MINE)[:4] == ["0>", "1/3", "2/3", "1>"]
    assert times(planned, Layer.THEIRS)[:3] == ["0>", "1/2", "1>"]


def test_a_hemiola_in_an_upbeat_is_cut_out_of_the_full_bar() -> None:
    # Three in the full bar of two beats fall at 0, 2/3 and 4/3: the upbeat holds the last.
    upbeat = score(V="6/8 q. | q. q.", C="3/4 e q | q q q")
    planned = click(upbeat, layers=[Layer.MINE, Layer.THEIRS])
    assert times(planned, Layer.MINE)[:3] == ["0", "1>", "2"]
    assert times(planned, Layer.THEIRS)[:4] == ["1/3", "1>", "5/3", "7/3"]


def test_where_barlines_travel_apart_no_bar_is_common_to_two_sides() -> None:
    apart = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset("C"))
    made_up = Conflict(1, 2, (3, 2), "bar", "meter", (Side(3, ("P1",)), Side(2, ("P2",))))
    planned = plan(take(apart), [made_up], tempo_bpm=Fraction(60))
    assert {stroke.layer for stroke in planned.strokes} == {Layer.BEAT}


def test_the_published_table_is_closed_under_reading_backwards() -> None:
    for (m, n), row in SCHILLINGER.items():
        steps = [int(step) for step in row.split()]
        assert steps == steps[::-1]
        assert list(accumulate(steps))[-1] == m * n
