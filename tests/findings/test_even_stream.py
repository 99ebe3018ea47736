"""Streams that several parts make: the fast search against slow and obvious definitions."""

from __future__ import annotations

from itertools import groupby, pairwise

from hypothesis import given
from hypothesis import strategies as st

from companion.findings.interlock import alternating_stretches, even_runs, is_fairly_shared

STRIKES = st.sets(st.integers(0, 12), min_size=3, max_size=12).map(sorted)
OWNERS = st.integers(2, 3).flatmap(
    lambda size: st.tuples(
        st.just(size), st.lists(st.integers(1, 2**size - 1), min_size=6, max_size=40)
    )
)


def runs_slowly(struck: list[list[int]]) -> set[tuple[int, int, tuple[int, ...]]]:
    """Every window of the joint strikes that is evenly spaced and cannot be made longer."""
    merged = sorted({at for strikes in struck for at in strikes})

    def even(low: int, high: int) -> bool:
        inside = merged[low : high + 1]
        return len({b - a for a, b in pairwise(inside)}) == 1

    found = set()
    for low in range(len(merged)):
        for high in range(low + 5, len(merged)):
            longer = (low > 0 and even(low - 1, high)) or (
                high + 1 < len(merged) and even(low, high + 1)
            )
            inside = merged[low : high + 1]
            counts = [len(set(strikes) & set(inside)) for strikes in struck]
            if even(low, high) and not longer and min(counts) >= 2:
                owners = tuple(
                    sum(1 << part for part, strikes in enumerate(struck) if at in strikes)
                    for at in inside
                )
                found.add((inside[0], inside[1] - inside[0], owners))
    return found


@given(st.lists(STRIKES, min_size=2, max_size=3))
def test_even_runs_are_all_there_is(struck: list[list[int]]) -> None:
    assert {tuple(run) for run in even_runs(struck)} == runs_slowly(struck)


def is_good(owners: list[int], parts: list[int], place: int) -> bool:
    """Whether nothing around a pulse forbids an interlock there."""
    windows = range(len(owners) - 5), range(len(owners) - 7)
    six = [range(low, low + 6) for low in windows[0] if low <= place < low + 6]
    eight = [range(low, low + 8) for low in windows[1] if low <= place < low + 8]
    beside = [p for p in (place - 1, place + 1) if 0 <= p < len(owners)]
    continuous = any(all(owners[p] & part for p in window) for part in parts for window in six)
    silent = any(all(owners[p] != part for p in window) for part in parts for window in eight)
    joint = owners[place] not in parts and any(owners[p] not in parts for p in beside)
    return not (continuous or silent or joint)


def from_turn_to_turn(owners: list[int], parts: list[int], low: int, high: int) -> set[int]:
    """Pulses from the first of the turn before the first hand-off to the last of the last."""
    handed = [
        p
        for p in range(low, high - 1)
        if owners[p] in parts and owners[p + 1] in parts and owners[p] != owners[p + 1]
    ]
    if not handed:
        return set()
    first, last = handed[0], handed[-1] + 1
    before = [p for p in range(low, first + 1) if len({*owners[p : first + 1]}) == 1]
    after = [p for p in range(last, high) if len({*owners[last : p + 1]}) == 1]
    return set(range(before[0], after[-1] + 1))


def shared_slowly(owners: list[int], size: int) -> set[tuple[int, int]]:
    """By definition, pulse by pulse."""
    parts = [1 << part for part in range(size)]
    count = len(owners)
    good = [is_good(owners, parts, place) for place in range(count)]
    found = set()
    for low in range(count):
        for high in range(low + 6, count + 1):
            is_longest = (low == 0 or not good[low - 1]) and (high == count or not good[high])
            if all(good[low:high]) and is_longest:
                stretch = from_turn_to_turn(owners, parts, low, high)
                found |= {(min(stretch), max(stretch) + 1)} if stretch else set()
    return found


@given(OWNERS)
def test_stretches_that_go_from_hand_to_hand(drawn: tuple[int, list[int]]) -> None:
    size, owners = drawn
    assert set(alternating_stretches(owners, size)) == shared_slowly(owners, size)


@given(OWNERS)
def test_mostly_exclusive_means_one_pulse_in_eight_at_most(drawn: tuple[int, list[int]]) -> None:
    size, owners = drawn
    turns = [owner for owner, _ in groupby(owners)]
    shared = [owner for owner in owners if owner not in {1, 2, 4}]
    expected = len(shared) / len(owners) <= 1 / 8 and all(
        turns.count(1 << part) > 1 for part in range(size)
    )
    assert is_fairly_shared(owners, size) == expected
