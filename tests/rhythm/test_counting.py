"""Counting aloud. The syllables are common practice, no source; where the strokes fall is held
against the published resultants: J. Schillinger, The Schillinger System of Musical Composition
(1946), Book I, as reproduced in a course text ("Course B", fig. 21, p. 25)."""

from fractions import Fraction
from itertools import accumulate
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.counting import (
    between,
    count_aloud,
    count_bar,
    spoken,
    where_it_falls,
)
from companion.rhythm.meter import parse


@pytest.mark.parametrize(
    ("more", "fewer", "said", "falls"),
    [
        (3, 2, "1 2& 3", "1 and the & of 2"),
        (4, 3, "1 2& 3& 4", "1, the & of 2 and the & of 3"),
        (5, 2, "1 2 3& 4 5", "1 and the & of 3"),
        (5, 4, "1 2& 3& 4& 5", "1, the & of 2, the & of 3 and the & of 4"),
        (6, 4, "1 2& 3 4 5& 6", "1, the & of 2, 4 and the & of 5"),
        (3, 1, "1 2 3", "1"),
    ],
)
def test_the_common_count(more: int, fewer: int, said: str, falls: str) -> None:
    assert count_aloud(more, fewer) == said
    assert where_it_falls(more, fewer) == falls


SCHILLINGER = {
    (3, 2): "2 1 1 2",
    (4, 3): "3 1 2 2 1 3",
    (5, 3): "3 2 1 3 1 2 3",
    (7, 4): "4 3 1 4 2 2 4 1 3 4",
    (8, 5): "5 3 2 5 1 4 4 1 5 2 3 5",
    (9, 8): "8 1 7 2 6 3 5 4 4 5 3 6 2 7 1 8",
}


@pytest.mark.parametrize(("ratio", "table"), SCHILLINGER.items())
def test_syllables_stand_where_the_published_resultant_strikes(
    ratio: tuple[int, int], table: str
) -> None:
    more, fewer = ratio
    cells = [0, *accumulate(int(word) for word in table.split())][:-1]
    said = [str(cell // fewer + 1) if cell % fewer == 0 else "&" for cell in cells]
    assert count_aloud(more, fewer).replace(" ", "") == "".join(said)


NUMBERS = st.integers(1, 16)


@given(NUMBERS, NUMBERS)
def test_every_stroke_has_its_syllable_and_no_other(m: int, n: int) -> None:
    more, fewer = max(m, n), min(m, n)
    words = count_aloud(more, fewer).split()
    assert [word.rstrip("&") for word in words] == [str(k + 1) for k in range(more)]
    after = [k + 1 for k, word in enumerate(words) if word.endswith("&")]
    assert tuple(after) == between(more, fewer)
    assert more + len(after) == m + n - gcd(m, n)


@pytest.mark.parametrize(
    ("meter", "onsets", "said"),
    [
        ("2/4", "0 1", "1 2"),
        ("2/4", "0 1/2 1 3/2", "1 & 2 &"),
        ("4/4", "0 1 3/2 2 7/3 8/3 3 13/4", "1 2 & 3 la li 4 e & a"),
        ("2/2", "0 1 2 3", "1 & 2 &"),
        ("3/4", "", "1 2 3"),
        ("3/8", "0 1/4", "1 & 2 3"),
        ("6/8", "", "1 2 3 4 5 6"),
        ("6/8", "0 3/4", "1 2 & 3 4 5 6"),
        ("9/8", "0", "1 2 3 4 5 6 7 8 9"),
        ("3+4/8", "0", "1 2 3 1 2 3 4"),
        ("5/8", "0", "1 2 3 4 5"),
        ("2/4", "0 1/5 2/5 3/5 4/5 1", "1 · · · · 2"),
    ],
)
def test_a_bar_is_counted_as_finely_as_it_is_played(meter: str, onsets: str, said: str) -> None:
    assert spoken(count_bar(parse(meter), map(Fraction, onsets.split()))) == said


def test_notes_are_marked() -> None:
    count = count_bar(parse("6/8"), [Fraction(0), Fraction(1), Fraction(5, 2)])
    assert [s.text for s in count if s.is_struck] == ["1", "3", "6"]


@given(
    st.sampled_from(["2/4", "3/4", "4/4", "6/8", "9/8", "2/2", "3+4/8", "5/8"]),
    st.sets(st.builds(Fraction, st.integers(0, 60), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8]))),
)
def test_every_note_of_a_bar_and_every_beat_has_a_syllable(
    meter: str, onsets: set[Fraction]
) -> None:
    count = count_bar(parse(meter), onsets)
    inside = {onset for onset in onsets if onset < parse(meter).length}
    assert {s.at for s in count if s.is_struck} == inside
    beats = accumulate(parse(meter).beats[:-1], initial=Fraction(0))
    assert set(beats) <= {s.at for s in count}
    assert [s.at for s in count] == sorted({s.at for s in count})
