"""Hockets found and nothing else. What a hocket is: common practice, no source; the numbers
that bound it are the module's own and are written out in its docstring."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.findings.interlock import Interlock, interlocks
from companion.score.laying import lay
from companion.score.texture import Texture, texture_of
from tests.findings.ensembles import EIGHTH, Given, ensemble, line, mixed
from tests.findings.real_scores import corpus, demo
from tests.score.written import score


def at_pulses(places: list[int], pitch: int = 60, start: int = 0) -> list[Given]:
    """Short notes on some of the eighths."""
    return [(start + place * EIGHTH, EIGHTH, pitch) for place in places]


def true_ones(found: tuple[Interlock, ...]) -> list[Interlock]:
    return [one for one in found if one.on_the_beat is None]


def test_the_built_in_quartet_has_its_chain_and_no_other_interlock() -> None:
    """Bars 14–19 by ordinal: viola and cello alone fill each other's rests in eighths of 6/8."""
    (chain,) = true_ones(interlocks(demo().texture))
    bars = demo().texture.bars
    assert (chain.first, chain.last) == (14, 19)
    assert (chain.start, chain.end) == (bars[13].start, bars[18].end)
    assert [side.parts for side in chain.sides] == [("P3",), ("P4",)]
    assert [side.value for side in chain.sides] == [Fraction(1, 2)] * 2
    assert [(pattern.bars, pattern.places) for pattern in chain.patterns] == [
        ((14, 16, 18), ((1, 4, 5), (0, 2, 3))),
        ((15, 17, 19), ((1, 3, 5), (0, 2, 4))),
    ]


def test_the_built_in_quartets_after_beats_are_told_apart_from_its_interlock() -> None:
    """Read from its notes: bars 22–24 cello on the beats, viola after; 26–27 violin II after."""
    found = [one for one in interlocks(demo().texture) if one.on_the_beat is not None]
    assert [(one.first, one.last, one.parts) for one in found] == [
        (22, 24, ("P3", "P4")),
        (26, 27, ("P2", "P4")),
    ]
    assert [one.sides[one.on_the_beat or 0].parts for one in found] == [("P4",), ("P4",)]


def test_a_bar_that_the_stream_only_begins_in_is_no_change_of_pattern() -> None:
    whole = [0, 3, 4, 7]
    texture = ensemble(
        "4/4",
        A=at_pulses([3, 4, 7, *(8 + p for p in whole), *(16 + p for p in whole)]),
        B=at_pulses([2, 5, 6, 9, 10, 13, 14, 17, 18, 21, 22]),
    )
    (found,) = interlocks(texture)
    assert [pattern.covered for pattern in found.patterns] == [(2, 8), (0, 8)]
    assert [pattern.bars for pattern in found.patterns] == [(1,), (2, 3)]
    assert [pattern.places[0] for pattern in found.patterns] == [(3, 4, 7), (0, 3, 4, 7)]


def test_three_parts_take_turns_at_a_stream() -> None:
    hands = {"A": [0, 3, 4, 9], "B": [1, 5, 7, 10], "C": [2, 6, 8, 11]}
    found = interlocks(ensemble("4/4", **{n: at_pulses(h) for n, h in hands.items()}))
    assert [(one.parts, one.first, one.last) for one in found] == [(("A", "B", "C"), 1, 2)]


@pytest.mark.parametrize(
    ("places", "parts", "count"),
    [((0, 3, 7), 8, 1), ((0, 3, 7), 9, 0), ((2, 3, 5), 9, 1), ((2, 3, 6), 9, 0)],
)
def test_among_more_than_eight_parts_only_neighbours_take_turns_by_three(
    places: tuple[int, ...], parts: int, count: int
) -> None:
    """The other parts hold a note in every bar."""
    hands = dict(zip(places, ([0, 3, 4, 9], [1, 5, 7, 10], [2, 6, 8, 11]), strict=True))
    played = {
        f"P{part}": at_pulses(hands[part]) if part in hands else line("w48 w48")
        for part in range(parts)
    }
    found = [one.parts for one in interlocks(ensemble("4/4", **played))]
    assert found == [tuple(f"P{part}" for part in places)] * count


def test_no_part_that_adds_nothing_is_in_the_set() -> None:
    texture = ensemble(
        "2/4",
        A=at_pulses([0, 2, 3, 5, 6, 9, 11]),
        B=at_pulses([1, 4, 7, 8, 10]),
        C=at_pulses([0, 4, 8]),
        D=at_pulses(list(range(12))),
    )
    assert [one.parts for one in interlocks(texture)] == [("A", "B")]


def test_parts_that_double_each_other_are_one_hand() -> None:
    upper, lower = [0, 3, 4, 7, 9], [1, 2, 5, 6, 8, 10, 11]
    texture = ensemble(
        "4/4",
        A=at_pulses(upper, 72),
        B=at_pulses(upper, 67),
        C=at_pulses(lower, 60),
        D=at_pulses(lower, 48),
    )
    (found,) = interlocks(texture)
    assert [side.parts for side in found.sides] == [("A", "B"), ("C", "D")]


def test_after_beats_are_marked_and_told_as_such() -> None:
    texture = ensemble("3/4", V=at_pulses([2, 4, 8, 10, 14, 16]), C=at_pulses([0, 6, 12]))
    (found,) = interlocks(texture)
    assert found.on_the_beat == 1


def test_an_eighth_of_six_eight_and_a_triplet_of_two_four_are_one_pulse() -> None:
    texture = mixed(
        {"A": "6/8", "B": "2/4"},
        {"A": at_pulses([0, 3, 4, 7, 8, 11]), "B": at_pulses([1, 2, 5, 6, 9, 10])},
    )
    (found,) = interlocks(texture)
    assert [side.value for side in found.sides] == [Fraction(1, 2), Fraction(1, 3)]


@pytest.mark.parametrize(
    "parts",
    [
        {"A": line("e e e e e e e e"), "B": line("q q q q")},
        {"A": line("q q q q"), "B": line("q q q q")},
        {"A": line("e re e re e re e re"), "B": line("e re e re e re e re")},
        {"A": line("e e e e e e e e re"), "B": line("rw e e e e e e e e")},
        {"A": line("e re"), "B": line("re e e re e re")},
        {"A": [], "B": line("e e e e")},
        {"A": line("e re e re e re e re")},
    ],
    ids=["one alone has it", "together", "same rests", "one after the other", "short", "", "solo"],
)
def test_what_is_no_interlock(parts: dict[str, list[Given]]) -> None:
    assert interlocks(ensemble("4/4", **parts)) == ()


@pytest.mark.parametrize(("violin", "cello", "count"), [("rq", "rq", 0), ("e re", "re e", 1)])
def test_a_stream_from_a_pickup_on_fills_a_whole_bar_of_the_meter(
    violin: str, cello: str, count: int
) -> None:
    """A quarter of pickup and two or three quarters of the next bar."""
    written = score(
        V=f"4/4 e re | e re re e {violin} rq | w", C=f"4/4 re e | re e e re {cello} rq | w"
    )
    assert len(interlocks(texture_of(lay(written)))) == count


def test_a_pulse_that_does_not_divide_the_beat_is_nobodys_stream() -> None:
    dotted = [(place * 9, 9, 60) for place in range(16)]
    texture = ensemble("4/4", A=dotted[::3] + dotted[1::6], B=dotted[2::3] + dotted[4::6])
    assert interlocks(texture) == ()


def test_notes_held_into_each_other_must_go_on_for_longer() -> None:
    """Complementary rhythm, as in any four-part chorale, is no hocket until it insists."""
    bar = {"A": line("q. e q. e"), "B": line("re e q. e q")}
    twice = {"A": line("q. e q. e " * 2), "B": line("re e q. e q. e q. e e")}
    assert interlocks(ensemble("4/4", **bar)) == ()
    assert [(one.first, one.last) for one in interlocks(ensemble("4/4", **twice))] == [(1, 2)]


def test_a_chorale_in_common_time_has_none() -> None:
    """A plain four-part harmonisation (general knowledge, from memory)."""
    assert interlocks(corpus("bach/bwv66.6.mxl").texture) == ()


def test_a_minor_scherzo_begins_with_a_stream_from_hand_to_hand() -> None:
    """The first violin's figure and the others' after it make running eighths from the first
    bar on (general knowledge, from memory); the notes are compared directly."""
    real = corpus("beethoven/opus59no2/movement3.mxl").texture
    opening = interlocks(real)[0]
    assert (opening.first, opening.last, len(opening.sides)) == (1, 6, 3)
    struck = sorted(at for side in opening.sides for at in side.strikes)
    assert struck == list(range(opening.start, opening.end, opening.pulse))


def is_hocket_by_definition(texture: Texture, one: Interlock) -> bool:
    """Slow and obvious, for the first part of each side."""
    strikes = [set(texture.of(side.parts[0]).strikes) for side in one.sides]
    pulses = range(one.start, one.end, one.pulse)
    inside = [{at for at in side if one.start <= at <= pulses[-1]} for side in strikes]
    even = set().union(*inside) == set(pulses)
    alone = [{at for at in side if sum(at in h for h in inside) == 1} for side in inside]
    windows = [pulses[low : low + 6] for low in range(len(pulses) - 5)]
    continuous = any(set(window) <= side for side in inside for window in windows)
    longer = [pulses[low : low + 8] for low in range(len(pulses) - 7)]
    silent = any(not set(window) & sole for sole in alone for window in longer)
    together = len(pulses) - sum(map(len, alone))
    return even and not continuous and not silent and 8 * together <= len(pulses)


@pytest.mark.parametrize(
    "path",
    ["beethoven/opus59no2/movement3.mxl", "mozart/k458/movement1.mxl", "mozart/k156/movement4.mxl"],
)
def test_everything_found_in_real_scores_is_one_by_definition(path: str) -> None:
    texture = corpus(path).texture
    found = interlocks(texture)
    assert found
    assert all(is_hocket_by_definition(texture, one) for one in found)
    for one, other in combinations(found, 2):
        assert one == other or not (
            set(one.parts) == set(other.parts) and one.start < other.end and other.start < one.end
        )


TURNS = st.lists(st.integers(0, 2), min_size=24, max_size=48).filter(
    lambda owners: (
        all({0, 1, 2} == set(owners[low : low + 8]) for low in range(len(owners) - 7))
        and all(len(set(owners[low : low + 5])) > 1 for low in range(len(owners) - 4))
    )
)
NOISE = st.lists(st.sampled_from([9, 15, 21]), min_size=4, max_size=40)


@settings(deadline=None)
@given(TURNS, st.integers(1, 5), NOISE)
def test_a_planted_interlock_is_recovered_exactly(
    owners: list[int], first: int, noise: list[int]
) -> None:
    """Three parts share out eighths of 4/4; a fourth plays syncopations all along."""
    start = (first - 1) * 8 * EIGHTH
    parts = {
        name: at_pulses([p for p, owner in enumerate(owners) if owner == which], start=start)
        for which, name in enumerate("ABC")
    }
    ends = [sum(noise[: n + 1]) for n in range(len(noise))]
    fourth = [(end - length, 1, 50) for end, length in zip(ends, noise, strict=True)]
    found = interlocks(ensemble("4/4", **parts, D=[note for note in fourth if note[0] % EIGHTH]))
    whole = [one for one in found if set(one.parts) == {"A", "B", "C"}]
    (planted,) = whole
    end = len(owners) if (len(owners) - 1) % 8 else len(owners) - 1
    assert (planted.start, planted.end) == (start, start + end * EIGHTH)
    assert planted.first == first
    for which, side in enumerate(planted.sides):
        mine = [start + p * EIGHTH for p, owner in enumerate(owners[:end]) if owner == which]
        assert list(side.strikes) == mine


@given(st.lists(st.lists(st.sampled_from([12, 24]), max_size=12), min_size=2, max_size=4))
def test_parts_that_all_have_the_beats_never_interlock(rows: list[list[int]]) -> None:
    """Every part strikes on every beat, whatever else it does."""
    beats = len(max(rows, key=len)) + 1
    parts = {
        str(number): [
            (b * 12 + o, 3, 60)
            for b in range(beats)
            for o in {0, *(x // 4 for x in row[b : b + 1])}
        ]
        for number, row in enumerate(rows)
    }
    assert interlocks(ensemble("4/4", **parts)) == ()
