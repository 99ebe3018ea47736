"""Conflicts as they sound, against a slow count stroke by stroke. The resultant's strokes:
J. Schillinger, The Schillinger System of Musical Composition (1946), Book I (3:2 strikes at
0, 1/3, 1/2 and 2/3 of the span)."""

from fractions import Fraction
from math import lcm

from hypothesis import given
from hypothesis import strategies as st

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, conflicts_of
from companion.findings.heard_conflicts import (
    PartStrokes,
    heard_conflicts,
)
from companion.score.laying import lay
from companion.score.texture import Texture, texture_of
from tests.findings.music import GRAINS, heard_conflict, texture
from tests.score.written import score


def three_against_two(last: int = 1) -> Conflict:
    return Conflict(1, last, (3, 2), "beat", "rhythm", (Side(3, ("V",)), Side(2, ("C",))))


def test_all_strokes_of_three_against_two_are_struck() -> None:
    found = heard_conflict(three_against_two(), texture("2/4", V="e3 e3 e3 e3 e3 e3", C="e e e e"))
    assert found.strokes == (
        (Fraction(0), 2),
        (Fraction(1, 3), 2),
        (Fraction(1, 2), 2),
        (Fraction(2, 3), 2),
    )
    assert (found.spans, found.pulling) == (2, 2)
    assert found.filled == 1
    assert found.parts == (PartStrokes("V", 6, 4), PartStrokes("C", 4, 2))
    assert found.parts[0].share == Fraction(2, 3)


def test_a_conflict_of_meters_may_not_sound_at_all() -> None:
    clock = lay(score(V="6/8 q. q. | q. q.", C="2/4 e e e e | e e e e"))
    (conflict,) = conflicts_of(clock)
    found = heard_conflict(conflict, texture_of(clock))
    assert (found.spans, found.pulling) == (4, 0)
    assert [struck for _, struck in found.strokes] == [4, 0, 4, 0]
    first = found.of("P1")
    assert first is not None and first.share == 0
    assert found.of("P9") is None


def test_a_third_part_leaves_fewer_notes_alone() -> None:
    music = texture("2/4", V="e3 e3 e3 e3 e3 e3", C="e e e e", B="q3 e3 q3 e3")
    assert heard_conflict(three_against_two(), music).parts == (
        PartStrokes("V", 6, 2),
        PartStrokes("C", 4, 2),
    )


def test_a_conflict_across_the_bar_is_measured_in_bars() -> None:
    clock = lay(score(V="6/8 q. q. | q. q.", C="3/4 q q q | q q q"))
    (conflict,) = conflicts_of(clock)
    found = heard_conflict(conflict, texture_of(clock))
    assert (conflict.level, found.spans, found.pulling) == ("bar", 2, 2)
    assert found.filled == 1


def test_a_pickup_counts_from_where_its_bar_would_begin() -> None:
    clock = lay(score(V="6/8 q e | q e q e", C="2/4 e e | e e e e"))
    found = list(heard_conflicts(conflicts_of(clock), texture_of(clock)))
    assert [one.strokes[0][0] for one in found] == [0]
    assert found[0].spans == 4
    assert [struck for _, struck in found[0].strokes] == [3, 0, 3, 3]


LENGTHS = st.sampled_from(["q", "e", "s", "e3", "q3", "e.", "rq", "re", "re3", "rs"])
LINES = st.lists(LENGTHS, min_size=1, max_size=24).map(" ".join)


def slowly(music: Texture, conflict: Conflict, beats: int) -> list[tuple[Fraction, int]]:
    """For each place on the common grid of each beat: does anyone strike there?"""
    m, n = (side.division for side in conflict.sides)
    struck = {at for stream in music.streams for at in stream.strikes}
    places = sorted({Fraction(k, m) for k in range(m)} | {Fraction(k, n) for k in range(n)})
    return [
        (place, sum(beat * GRAINS + place * GRAINS in struck for beat in range(beats)))
        for place in places
    ]


@given(LINES, LINES, st.sampled_from([(3, 2), (4, 3), (5, 4), (6, 4)]))
def test_strokes_struck_are_those_of_a_slow_count(
    v: str, c: str, divisions: tuple[int, int]
) -> None:
    music = texture("2/4 x 14", V=v, C=c)
    m, n = divisions
    conflict = Conflict(1, 14, (m, n), "beat", "rhythm", (Side(m, ("V",)), Side(n, ("C",))))
    found = heard_conflict(conflict, music)
    assert [*found.strokes] == slowly(music, conflict, 28)
    upper, lower = (set(stream.strikes) for stream in music.streams)
    assert [one.alone for one in found.parts] == [len(upper - lower), len(lower - upper)]
    pulling = 0
    for beat in range(28):
        cells = range(lcm(m, n))
        at = [beat * GRAINS + Fraction(cell * GRAINS, len(cells)) for cell in cells]
        mine = any(at[cell] in upper and cell * n % len(cells) for cell in cells)
        theirs = any(at[cell] in lower and cell * m % len(cells) for cell in cells)
        pulling += mine and theirs
    assert found.pulling == pulling
