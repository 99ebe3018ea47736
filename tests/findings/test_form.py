"""Returns of passages, held against direct comparison of what the page has in each bar."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.findings.form import Return, returns
from companion.score.texture import Texture
from tests.findings.ensembles import Given, ensemble, line, mixed, shifted
from tests.findings.real_scores import Real, corpus, demo

BAR = 48
"""Grains of a bar of 4/4."""
Bar = tuple[tuple[int, ...], tuple[int, ...]]
"""Pitches of the quarters of an upper and a lower part; 0 is a rest."""


def piece(bars: list[Bar]) -> Texture:
    parts: dict[str, list[Given]] = {"V": [], "C": []}
    for number, pitches in enumerate(bars):
        for name, row in zip(parts, pitches, strict=True):
            parts[name] += [
                (number * BAR + 12 * beat, 12, pitch) for beat, pitch in enumerate(row) if pitch
            ]
    return ensemble("4/4", **parts)


def new(number: int) -> Bar:
    """A bar like no other, nor like any other transposed."""
    return (60, 61 + number, 62, 61), (40, 41, 42 + number, 40)


def span(found: Return) -> tuple[int, int, int, int, str]:
    return found.first, found.last, found.model_first, found.model_last, found.kind


def test_the_built_in_quartet_returns_to_its_opening_and_departs_at_56() -> None:
    """Its closing section is written as the first eight bars of the opening and a new close."""
    (found,) = returns(demo().texture)
    assert span(found) == (48, 55, 2, 9, "exact")
    assert found.departs == 56
    assert [demo().notes(bar) for bar in range(48, 56)] == [
        demo().notes(bar) for bar in range(2, 10)
    ]


def test_a_passage_returns_transposed() -> None:
    theme = [new(n) for n in range(6)]
    higher = [(tuple(p + 5 for p in v), tuple(p + 5 for p in c)) for v, c in theme]
    (found,) = returns(piece([*theme, new(40), new(41), *higher, new(42)]))
    assert span(found) == (9, 14, 1, 6, "transposed")
    assert (found.semitones, found.departs) == (5, 15)


def test_bars_that_differ_are_named_for_every_part() -> None:
    theme = [new(n) for n in range(8)]
    changed = [(v, (40, 40, 40, 40)) if n in (2, 5) else (v, c) for n, (v, c) in enumerate(theme)]
    (found,) = returns(piece([*theme, new(40), *changed]))
    assert span(found) == (10, 17, 1, 8, "changed")
    assert (found.differing, found.departs) == ((12, 15), 12)
    assert found.differing_by_part == (("V", ()), ("C", (12, 15)))


@pytest.mark.parametrize(("kept", "of", "count"), [(1, 2, 1), (2, 5, 0), (3, 5, 1), (2, 4, 1)])
def test_a_return_keeps_at_least_half_of_the_parts_that_sound(
    kept: int, of: int, count: int
) -> None:
    """Eight bars again, and only so many of the parts with the notes they had."""
    parts: dict[str, list[Given]] = {}
    for part in range(of):
        theme = [60 + (3 * bar + part) % 7 + beat * bar for bar in range(8) for beat in range(4)]
        again = theme if part < kept else [50 + (bar * bar + part) % 11 for bar in range(32)]
        pitches = [*theme, *(90 - bar for bar in range(8)), *again]
        parts[f"P{part}"] = [(12 * beat, 12, pitch) for beat, pitch in enumerate(pitches)]
    found = returns(ensemble("4/4", **parts))
    assert [span(one)[:4] for one in found] == [(11, 18, 1, 8)] * count


def test_bars_left_out_make_it_shortened() -> None:
    theme = [new(n) for n in range(14)]
    (found,) = returns(piece([*theme, new(40), *theme[:5], *theme[8:]]))
    assert span(found) == (16, 26, 1, 14, "shortened")
    assert (found.differing, found.departs) == ((), 21)


@pytest.mark.parametrize(("higher", "pieces"), [(12, 1), (-12, 1), (5, 2)])
def test_after_bars_left_out_a_return_may_go_on_in_another_octave(higher: int, pieces: int) -> None:
    theme = [new(n) for n in range(14)]
    moved = [(tuple(p + higher for p in v), tuple(p + higher for p in c)) for v, c in theme[8:]]
    found = returns(piece([*theme, new(40), *theme[:5], *moved]))
    assert len(found) == pieces
    assert (found[0].first, found[-1].last, found[0].model_first) == (16, 26, 1)


def test_bars_put_in_make_it_extended() -> None:
    theme = [new(n) for n in range(10)]
    (found,) = returns(piece([*theme, new(40), *theme[:5], new(41), new(42), *theme[5:]]))
    assert span(found) == (12, 23, 1, 10, "extended")
    assert found.differing == (17, 18)


def test_bars_replaced_by_as_many_others_leave_two_returns() -> None:
    theme = [new(n) for n in range(14)]
    found = returns(piece([*theme, new(40), *theme[:5], new(41), new(42), *theme[7:]]))
    assert [span(one) for one in found] == [(16, 20, 1, 5, "exact"), (23, 29, 8, 14, "exact")]


@pytest.mark.parametrize(("reached", "pieces"), [(0, 1), (1, 2)])
def test_a_return_does_not_go_on_with_its_own_first_bar(reached: int, pieces: int) -> None:
    """A bar left out, then the bridge up to the return, or with the first bar of the return."""
    theme, bridge = [new(n) for n in range(5)], [new(20 + n) for n in range(6)]
    goes_on = [*bridge[1:], *theme[:reached]]
    found = returns(piece([*theme, *bridge, *theme, *goes_on, new(60)]))
    assert len(found) == pieces
    assert found[-1].last == 16 + len(goes_on)


@pytest.mark.parametrize(("count", "pieces"), [(8, 1), (9, 2)])
def test_two_pieces_are_one_return_over_a_gap_of_eight_bars(count: int, pieces: int) -> None:
    theme = [new(n) for n in range(10 + count)]
    added = [new(60 + n) for n in range(count)]
    left_out = returns(piece([*theme, new(40), *theme[:5], *theme[-5:]]))
    put_in = returns(piece([*theme[:10], new(40), *theme[:5], *added, *theme[5:10]]))
    assert (len(left_out), len(put_in)) == (pieces, pieces)


@pytest.mark.parametrize(("ending", "is_repeat"), [(0, True), (1, True), (2, True), (3, False)])
def test_a_repeat_follows_at_once_or_after_a_first_ending_of_two_bars(
    ending: int, is_repeat: bool
) -> None:
    theme = [new(n) for n in range(5)]
    (found,) = returns(piece([*theme, *(new(40 + n) for n in range(ending)), *theme]))
    assert found.is_repeat == is_repeat


def test_three_different_bars_of_four_make_a_return_and_two_do_not() -> None:
    a, b, c = new(1), new(2), new(3)
    (found,) = returns(piece([a, b, c, a, new(40), a, b, c, a, new(41)]))
    assert span(found) == (6, 9, 1, 4, "exact")
    assert returns(piece([a, b, b, a, new(40), a, b, b, a, new(41)])) == ()


def test_music_that_is_the_same_in_another_meter_of_the_clock_returns() -> None:
    """A viola in 6/8 beside a violin in 2/4 comes back with its own notes, note for note."""
    viola = line(
        "q60 e62 e64 e65 e67 | q60 e69 q. 62 | q.60 q.62 | e60 e60 e60 q.71".replace(". ", ".")
    )
    violin = [
        (at * 36 // 24, length, pitch)
        for at, length, pitch in line("q60 q62 | h70 | q60 q65 | h61")
    ]
    parts = {"A": viola + shifted(viola, 6 * 36), "B": violin + shifted(violin, 6 * 36)}
    (found,) = returns(mixed({"A": "6/8", "B": "2/4"}, parts))
    assert span(found) == (7, 10, 1, 4, "exact")


def test_an_accompaniment_turning_on_the_spot_is_no_form() -> None:
    assert returns(piece([new(1), new(2)] * 12)) == ()


def test_silence_does_not_return() -> None:
    assert returns(piece([((0, 0, 0, 0), (0, 0, 0, 0))] * 20)) == ()


BLOCKS = [[new(number) for number in numbers] for numbers in (range(9), range(3, 8), range(20, 31))]
PLAIN = (
    st.lists(st.sampled_from(BLOCKS) | st.integers(0, 9).map(lambda n: [new(n)]), max_size=9)
    .map(lambda blocks: [bar for block in blocks for bar in block])
    .filter(bool)
)
"""Bars put together from a few passages and single bars."""


def equal_runs(bars: list[Bar]) -> set[tuple[int, int, int]]:
    """(first, last, back) of every longest run of equal bars, by comparing all with all."""
    count = len(bars)
    runs = set()
    for back, first in product(range(4, count), range(count)):
        last = first
        while first >= back and last < count and bars[last] == bars[last - back]:
            last += 1
        starts = first == back or (first > back and bars[first - 1] != bars[first - 1 - back])
        if last > first and starts:
            runs.add((first + 1, last, back))
    return runs


@settings(deadline=None)
@given(PLAIN)
def test_exact_returns_are_those_of_comparing_every_bar_with_every_other(bars: list[Bar]) -> None:
    """Each found one is equal bar by bar; and of any eight bars on end that were there before,
    unlike each other, some belong to a return."""
    found = [one for one in returns(piece(bars)) if one.kind == "exact"]
    for one in found:
        back = one.first - one.model_first
        assert bars[one.first - 1 : one.last] == bars[one.model_first - 1 : one.model_last]
        assert one.model_last < one.first and one.last - one.first >= 3
        assert len({*bars[one.first - 1 : one.last]}) >= 3
        assert back == one.last - one.model_last
    covered = {bar for one in returns(piece(bars)) for bar in range(one.first, one.last + 1)}
    for first, last, back in equal_runs(bars):
        own = range(max(first, last - back + 1), last + 1)
        for eight in (own[low : low + 8] for low in range(len(own) - 7)):
            fours = [bars[bar - 1 : bar + 3] for bar in eight[:-3]]
            if all(len({*four}) >= 3 for four in fours):
                assert covered & set(eight)


@settings(deadline=None)
@given(st.integers(4, 12), st.integers(0, 6), st.integers(0, 6), st.integers(-7, 7), st.randoms())
def test_a_planted_return_is_recovered_exactly(
    length: int, before: int, between: int, rise: int, chance: object
) -> None:
    """Bars unlike all others around it, and a third part that plays at random throughout."""
    theme = [new(n) for n in range(length)]
    again = [(tuple(p + rise for p in v), tuple(p + rise for p in c)) for v, c in theme]
    lead = [new(30 + n) for n in range(before)]
    middle = [new(50 + n) for n in range(between)]
    (found,) = returns(piece([*lead, *theme, *middle, *again, new(80), new(81)]))
    first = before + length + between + 1
    assert span(found)[:4] == (first, first + length - 1, before + 1, before + length)
    assert (found.kind, found.semitones) == ("transposed" if rise else "exact", rise)


@given(st.permutations(range(40)))
def test_a_piece_of_bars_that_are_all_different_has_no_return(order: list[int]) -> None:
    assert returns(piece([new(number) for number in order])) == ()


def holds(real: Real, one: Return) -> bool:
    """Whether the page has the same in every part and bar."""
    back = one.first - one.model_first
    return all(real.notes(bar) == real.notes(bar - back) for bar in range(one.first, one.last + 1))


SONATAS = [
    ("mozart/k458/movement1.mxl", (140, 168, 2, 30), 5),
    ("mozart/k458/movement4.mxl", (199, 227, 1, 29), 5),
    ("mozart/k156/movement1.mxl", None, 5),
    ("beethoven/opus18no1/movement1.mxl", None, 5),
]


@pytest.mark.parametrize(("path", "opening", "rise"), SONATAS)
def test_a_recapitulation_brings_back_the_opening_and_the_rest_a_fourth_higher(
    path: str, opening: tuple[int, int, int, int] | None, rise: int
) -> None:
    """Four movements in sonata form and major keys: the first theme returns in the tonic, the
    second group, heard in the dominant, in the tonic too, a fifth lower or a fourth higher
    (general knowledge of the form and of these movements, from memory)."""
    real = corpus(path)
    found = returns(real.texture)
    half = len(real.texture.bars) / 3
    late = [one for one in found if one.first > half and one.model_last < one.first - half / 2]
    if opening:
        assert opening in [span(one)[:4] for one in late if one.kind == "exact"]
    assert min(one.model_first for one in late) <= 10
    moved = sum(one.last - one.first + 1 for one in late if one.semitones % 12 == rise)
    assert moved >= len(real.texture.bars) / 12


@pytest.mark.parametrize(
    ("path", "minuet", "again"),
    [
        ("haydn/opus1no1/movement4.mxl", (14, 40), (89, 115)),
        ("mozart/k156/movement3.mxl", (15, 50), (125, 160)),
        ("mozart/k80/movement3.mxl", (9, 36), (105, 132)),
    ],
)
def test_a_minuet_da_capo_returns_after_its_trio(
    path: str, minuet: tuple[int, int], again: tuple[int, int]
) -> None:
    """Three minuets with a trio and `da capo` on the page, played with all repeats: the minuet
    comes again, bar by bar, without them."""
    real = corpus(path, as_played=True)
    back = again[0] - minuet[0]
    assert [real.notes(bar) for bar in range(again[0], again[1] + 1)] == [
        real.notes(bar - back) for bar in range(again[0], again[1] + 1)
    ]
    found = [span(one) for one in returns(real.texture)]
    assert (*again, *minuet, "exact") in found


@pytest.mark.parametrize(
    "path",
    [
        "mozart/k458/movement1.mxl",
        "mozart/k458/movement2.mxl",
        "haydn/opus74no1/movement3.mxl",
        "schumann_robert/opus41no1/movement2.mxl",
    ],
)
def test_what_is_told_to_return_note_for_note_does_on_the_page(path: str) -> None:
    real = corpus(path, as_played=True)
    exact = [one for one in returns(real.texture) if one.kind == "exact"]
    assert exact
    assert all(holds(real, one) for one in exact)
