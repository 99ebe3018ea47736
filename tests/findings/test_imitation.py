"""Figures that one part has after another: the search by tables against comparing every note
of every part with every other."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.findings.imitation import (
    LinePlace,
    MelodicLine,
    followings,
    is_figure,
    is_isolated_motif,
    melodic_line,
)
from companion.score.texture import Texture
from tests.findings.ensembles import Given, ensemble, shifted
from tests.findings.ensembles import line as notes

WORDS = st.lists(
    st.sampled_from(["e60", "e62", "e64", "q60", "q65", "q.62", "re", "rq"]), min_size=3, max_size=6
)


def agree(one: MelodicLine, a: int, other: MelodicLine, b: int) -> bool:
    """Whether from two notes on the next one comes as late and as high, within a tone."""
    if min(a, b) < 0 or a + 1 >= len(one.notes) or b + 1 >= len(other.notes):
        return False
    gaps = [n.notes[i + 1].at - n.notes[i].at for n, i in ((one, a), (other, b))]
    up, high = (
        (n.notes[i + 1].pitch or 0) - (n.notes[i].pitch or 0) for n, i in ((one, a), (other, b))
    )
    same_way = (up > 0) == (high > 0) and (up < 0) == (high < 0)
    return gaps[0] == gaps[1] and same_way and abs(up - high) <= 2


def length(one: MelodicLine, a: int, other: MelodicLine, b: int) -> int:
    return 1 + next(n for n in range(99) if not agree(one, a + n, other, b + n))


def beginning(one: MelodicLine, index: int) -> tuple[tuple[int, int], ...]:
    """The first three steps (two, of three notes alone) as gap and direction; empty where no
    figure begins: not after a rest nor after a note that lasts longer until the next."""
    count = 3 if is_isolated_motif(one, index) else 4
    heard = one.notes[index : index + count]
    steps = [(b.at - a.at, (b.pitch or 0) - (a.pitch or 0)) for a, b in pairwise(heard)]
    if len(heard) < count or not any(step for _, step in steps):
        return ()
    before = one.notes[index - 1] if index else None
    if before and before.end == heard[0].at and heard[0].at - before.at <= steps[0][0]:
        return ()
    return tuple((gap, (step > 0) - (step < 0)) for gap, step in steps)


def followings_slowly(texture: Texture) -> set[tuple[str, str, int, int, int]]:
    """(leader, follower, grain, grain, notes) for every pair of notes where figures begin alike:
    of all the leaders a beginning has, the longest and then the nearest, told from its first
    note; nothing where the follower itself had as much in between."""
    lines = [melodic_line(stream) for stream in texture.streams]
    places = [
        (number, index) for number, one in enumerate(lines) for index in range(len(one.notes))
    ]
    best: dict[tuple[int, int], tuple[int, int, int, int]] = {}
    for number, index in places:
        mine = lines[number]
        at, looks = mine.notes[index].at, beginning(mine, index)
        alike = [
            (length(lines[p], i, mine, index), lines[p].notes[i].at, p, i)
            for p, i in places
            if looks and lines[p].notes[i].at < at and beginning(lines[p], i) == looks
        ]
        own = [one for one in alike if one[2] == number]
        fit = [
            one
            for one in alike
            if one[2] != number and not any(o[0] >= one[0] and o[1:3] > one[1:3] for o in own)
        ]
        if not fit:
            continue
        count, _, p, i = max(fit)
        back = next(n for n in range(99) if not agree(lines[p], i - n - 1, mine, index - n - 1))
        led = LinePlace(lines[p].notes[i - back].at, p, i - back)
        followed = LinePlace(mine.notes[index - back].at, number, index - back)
        if count + back > 2 and is_figure(lines, led, followed, count + back):
            old = best.get((number, index - back), (0, 0, 0, 0))
            best[number, index - back] = max(old, (count + back, led.at, p, i - back))
    return {
        (lines[p].part, lines[number].part, when, lines[number].notes[index].at, count)
        for (number, index), (count, when, p, _) in best.items()
    }


@settings(deadline=None)
@given(WORDS, WORDS)
def test_figures_are_those_that_comparing_all_notes_finds(one: list[str], other: list[str]) -> None:
    """Two parts; the second begins a bar later and the first has its line once more."""
    first = notes(" ".join([*one, "rw", *one]))
    second = notes(" ".join(other + one), start=48)
    texture = ensemble("4/4", A=first, B=second)
    found = {
        (f.leader, f.follower, f.led[0].at, f.followed[0].at, len(f.led))
        for f in followings(texture)
    }
    assert found == followings_slowly(texture)


PITCHES = st.lists(st.integers(55, 79), min_size=8, max_size=40)


@given(PITCHES, PITCHES, PITCHES)
def test_parts_without_a_common_note_value_follow_nobody(
    one: list[int], other: list[int], third: list[int]
) -> None:
    rows = {"A": (one, 12), "B": (other, 10), "C": (third, 7)}
    parts: dict[str, list[Given]] = {
        name: [(n * length, length, pitch) for n, pitch in enumerate(row)]
        for name, (row, length) in rows.items()
    }
    assert followings(ensemble("4/4", **parts)) == []


def test_parallel_thirds_repeated_notes_and_running_scales_are_no_figures() -> None:
    tune = notes("q60 e62 e64 q65 q64 | e62 e60 h.67")
    scale = notes("e60 e62 e64 e65 e67 e69 e71 e72 " * 2)
    drum = notes("q60 e60 e60 q60 q60")
    for one, later in ((tune, 0), (scale, 48), (drum, 48)):
        other = [(at + later, length, pitch + 4) for at, length, pitch in one]
        both = {"A": one, "B": other} if later == 0 else {"A": one, "B": notes("w72") + other}
        assert followings(ensemble("4/4", **both)) == []


FIVE, SIX = "e60 e62 q64 q67 e65", "e60 e62 q64 q67 e65 q64"
SEVEN, EIGHT = f"{SIX} e62", f"{SIX} e62 q60"


@pytest.mark.parametrize(
    ("words", "leader", "follower", "is_figure"),
    [
        # Even notes: five, half of the steps moving, after a rest in both parts.
        ("q60 q62 q64 q65", "rest", "rest", False),
        ("q60 q62 q64 q65 q67", "rest", "rest", True),
        ("q60 q62 q64 q65 q67", "note", "rest", False),
        ("q60 q62 q64 q65 q67", "rest", "note", False),
        ("q60 q62 q62 q64 q64 q65", "rest", "rest", True),
        ("q60 q60 q62 q62 q64 q64", "rest", "rest", False),
        # Others: after a rest, or eight notes, or six that are known by something.
        (FIVE, "note", "rest", True),
        (FIVE, "rest", "note", False),
        (SIX, "rest", "note", True),
        (SEVEN, "note", "note", False),
        (EIGHT, "note", "note", True),
        ("e60 q62 h64 e67 q65 q64", "note", "note", True),  # three lengths
        ("e60 q60 e60 q62 e62 q64", "rest", "rest", False),  # two steps that move
        ("e60 q60 e60 q62 e62 q64 e65", "rest", "rest", True),
        ("e60 q62 e60 q62 e60", "rest", "rest", False),  # two pitches
        ("e60 q62 e60 q62 e60 q62", "rest", "rest", True),
        # Three notes, of unequal lengths and between rests.
        ("e60 q64 e62", "rest", "rest", True),
        ("q60 q64 q62", "rest", "rest", False),
        ("e60 q64 e62", "note", "rest", False),
        ("e60 q64 e60", "rest", "rest", False),
    ],
)
def test_so_many_notes_are_recognised_in_another_part(
    words: str, leader: str, follower: str, is_figure: bool
) -> None:
    """Before the figure each part rests, or plays a long note that the other has not."""
    first = notes(f"{'rw' if leader == 'rest' else 'w40'} {words}")
    second = notes(f"rw rw rw rh {'rh' if follower == 'rest' else 'h45'} {words}")
    found = [(len(f.led), f.delay) for f in followings(ensemble("4/4", A=first, B=second))]
    assert found == [(len(words.split()), 144)] * is_figure


def test_a_note_too_far_up_breaks_an_answer_and_a_tone_does_not() -> None:
    subject = "q60 e62 e64 q67 q65 e64 e62 h60"
    tonal = "q67 e69 e71 q72 q71 e69 e67 h65"
    wrong = "q67 e69 e71 q79 q71 e69 e67 h65"
    found = [
        len(f.led)
        for answer in (tonal, wrong)
        for f in followings(ensemble("4/4", A=notes(subject), B=notes("rw rw " + answer)))
    ]
    assert found == [8]


def test_a_stroke_without_pitch_is_no_note_of_a_figure() -> None:
    """Both players tap where the subject has a rest."""
    subject = notes("q60 e62 e64 q67 rq e64 e62 h60")
    tap = [(36, 6, 0)]
    plain = ensemble("4/4", A=subject, B=shifted(subject, 96))
    tapped = ensemble("4/4", A=subject + tap, B=shifted(subject + tap, 96))
    unpitched = [
        replace(
            stream, sounds=tuple(s if s.pitch else replace(s, pitch=None) for s in stream.sounds)
        )
        for stream in tapped.streams
    ]
    (found,) = followings(replace(tapped, streams=tuple(unpitched)))
    assert [found] == followings(plain)


SUBJECTS = st.tuples(
    st.lists(st.sampled_from([6, 12, 18]), min_size=8, max_size=8).filter(
        lambda lengths: len(set(lengths[:-1])) > 1
    ),
    st.permutations([60, 62, 64, 65, 67, 69, 71, 72]),
)


@given(SUBJECTS, st.integers(-12, 12), st.integers(3, 20), PITCHES)
def test_a_subject_is_found_in_the_part_that_has_it_up_to_sixteen_bars_later(
    subject: tuple[list[int], list[int]], higher: int, bars: int, beside: list[int]
) -> None:
    """A third part plays along in a note value of its own."""
    lengths, pitches = subject
    starts = [sum(lengths[:number]) for number in range(len(lengths))]
    first: list[Given] = list(zip(starts, lengths, pitches, strict=True))
    answer = shifted(first, bars * 48, higher)
    third: list[Given] = [(number * 7, 7, pitch) for number, pitch in enumerate(beside)]
    found = [
        (f.leader, f.follower, len(f.led), f.delay, f.semitones, f.span)
        for f in followings(ensemble("4/4", A=first, B=answer, C=third))
    ]
    assert found == [("A", "B", 8, bars * 48, higher, starts[-1])] * (bars <= 16)


def test_the_leader_goes_on_after_what_is_followed() -> None:
    subject = notes("q60 e62 e64 q67 q65 e64 e62 h60")
    (going,) = followings(ensemble("4/4", A=subject + notes("h72", 240), B=shifted(subject, 336)))
    (ending,) = followings(ensemble("4/4", A=subject, B=shifted(subject, 336)))
    assert (going.goes_on, ending.goes_on) == (240, None)
