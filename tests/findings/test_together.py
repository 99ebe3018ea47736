"""From pairs to groups: the sweep against trying every set of parts."""

from __future__ import annotations

from itertools import combinations, groupby

from hypothesis import given
from hypothesis import strategies as st

from companion.findings.doublings import BarStretch, Group, Pair, groups

COUNT = 4
ROWS = st.lists(st.lists(st.integers(0, 2), min_size=COUNT, max_size=COUNT), max_size=14)


def runs(holds: list[bool]) -> list[BarStretch]:
    found: list[BarStretch] = []
    at = 0
    for is_so, same in groupby(holds):
        length = len(list(same))
        if is_so:
            found.append((at, at + length))
        at += length
    return found


def together(rows: list[list[int]], parts: tuple[int, ...]) -> list[bool]:
    """Moment by moment, whether all of the parts have the same number."""
    return [len({row[part] for part in parts}) == 1 for row in rows]


def groups_slowly(rows: list[list[int]]) -> set[Group]:
    """Every set of parts as long as it goes together, unless another part goes along throughout."""
    found = set()
    for size in range(2, COUNT + 1):
        for parts in combinations(range(COUNT), size):
            others = [part for part in range(COUNT) if part not in parts]
            for start, end in runs(together(rows, parts)):
                if not any(all(together(rows[start:end], (*parts, other))) for other in others):
                    found.add(Group(start, end, parts))
    return found


@given(ROWS)
def test_every_group_is_as_large_and_as_long_as_it_can_be(rows: list[list[int]]) -> None:
    pairs: dict[Pair, list[BarStretch]] = {
        pair: runs(together(rows, pair)) for pair in combinations(range(COUNT), 2)
    }
    found = list(groups(pairs))
    assert set(found) == groups_slowly(rows)
    assert len(found) == len(set(found))
    assert found == sorted(found)


def test_a_part_that_joins_later_makes_a_second_group() -> None:
    pairs: dict[Pair, list[BarStretch]] = {(0, 1): [(0, 8)], (0, 2): [(4, 8)], (1, 2): [(4, 8)]}
    assert list(groups(pairs)) == [Group(0, 8, (0, 1)), Group(4, 8, (0, 1, 2))]
