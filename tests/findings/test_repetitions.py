"""Repetition in a row, held against the definition written out slowly."""

from hypothesis import given
from hypothesis import strategies as st

from companion.findings.repetitions import Repetition, is_bounded, repeating

ROWS = st.one_of(
    st.lists(st.integers(0, 2), max_size=24),
    st.tuples(
        st.lists(st.integers(0, 2), max_size=5),
        st.lists(st.integers(0, 2), min_size=1, max_size=5),
        st.integers(2, 5),
        st.lists(st.integers(0, 2), max_size=5),
    ).map(lambda made: made[0] + made[1] * made[2] + made[3]),
)


def repeats(row: list[int], start: int, end: int, size: int) -> bool:
    return all(row[i] == row[i + size] for i in range(start, end - size))


def slowly(row: list[int], largest: int, times: int, needed: int) -> set[Repetition]:
    """Every stretch that repeats after `size`, cannot be made longer and has no shorter period.

    `needed` elements may be missing from the last of the `times` repeats.
    """
    found = set()
    for size in range(1, largest + 1):
        for start in range(len(row)):
            for end in range(start + max(size + 1, times * size - needed), len(row) + 1):
                longer = (start and repeats(row, start - 1, end, size)) or (
                    end < len(row) and repeats(row, start, end + 1, size)
                )
                if not repeats(row, start, end, size) or longer:
                    continue
                if not any(repeats(row, start, end, less) for less in range(1, size)):
                    found.add(Repetition(start, end - start, size))
    return found


@given(ROWS)
def test_stretches_that_repeat_are_those_of_the_slow_definition(row: list[int]) -> None:
    found = list(repeating(row, 6))
    assert set(found) == slowly(row, 6, 3, 0)
    assert len(found) == len(set(found))


@given(ROWS)
def test_steps_need_not_lead_out_of_the_last_repeat(row: list[int]) -> None:
    assert set(repeating(row, 6, open_end=True)) == slowly(row, 6, 3, 1)


def test_a_figure_of_three_is_not_also_one_of_six() -> None:
    assert list(repeating([1, 2, 3] * 6, 16)) == [Repetition(0, 18, 3)]


def pieces(row: list[int], period: Repetition, plain: int) -> list[int]:
    """How many elements lie from each odd one to the next, with the plain ones before the first
    and after the last as far as they go beyond the stretch."""
    start, end = period.start, period.end
    while start and row[start - 1] == plain:
        start -= 1
    while end < len(row) and row[end] == plain:
        end += 1
    odd = [i for i in range(period.start, period.end) if row[i] != plain]
    inner = [b - a for a, b in zip(odd, odd[1:], strict=False)]
    return [odd[0] - start + 1, *inner, end - odd[-1]]


@given(st.integers(2, 6), st.integers(0, 9), st.integers(0, 9), st.integers(1, 3))
def test_groups_cut_from_a_long_scale_are_only_those_with_an_end(
    plain_steps: int, before: int, after: int, leaps: int
) -> None:
    inner = ([1] * plain_steps + [5]) * leaps
    row = [7] + [1] * before + [5] + inner + [1] * after + [7]
    for period in repeating(row, 8, open_end=True):
        if period.size == plain_steps + 1:
            whole = pieces(row, period, 1).count(period.size)
            assert is_bounded(row, period) == (whole >= 3)
