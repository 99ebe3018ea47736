"""Dotted against triplet: found where a slow reading of each beat finds it, and nowhere else."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.bar_pulls import BarOnsets, pulls_in
from companion.findings.conflicts import conflicts, conflicts_of
from companion.rhythm.meter import parse
from companion.score.laying import lay
from tests.findings.real_scores import corpus
from tests.score.written import score

BEAT = 12
FIGURES = {
    "rest": (),
    "quarter": (0,),
    "eighths": (0, 6),
    "triplet": (0, 4, 8),
    "triplet, the first a rest": (4, 8),
    "quarter and eighth of a triplet": (0, 8),
    "dotted": (0, 9),
    "dotted, the first a rest or tied in": (9,),
    "short-long": (0, 3),
    "short-long, the first a rest or tied in": (3,),
    "sixteenths": (0, 3, 6, 9),
    "eighth and sixteenths": (0, 6, 9),
    "sixteenths and eighth": (0, 3, 6),
    "sixteenth, eighth, sixteenth": (0, 3, 9),
    "sextuplet": (0, 2, 4, 6, 8, 10),
}
BAR = st.tuples(st.sampled_from([*FIGURES]), st.sampled_from([*FIGURES]))
Choice = tuple[int, str, frozenset[str], frozenset[str]]


def slowly(parts: list[tuple[str, str]]) -> set[Choice]:
    """By names alone: (beat, which dotting, who is dotted, who has triplets)."""
    found: set[Choice] = set()
    for beat in (0, 1):
        names = {str(number): bar[beat] for number, bar in enumerate(parts)}
        triplets = frozenset(part for part, name in names.items() if "triplet" in name)
        triplets -= frozenset(part for part, name in names.items() if name == "sextuplet")
        if any("sixteenth" in name for name in names.values()) or not triplets:
            continue
        for kind in ("dotted", "short-long"):
            dotted = frozenset(part for part, name in names.items() if name.startswith(kind))
            if dotted:
                found.add((beat + 1, kind, dotted, triplets))
    return found


def lines(parts: list[tuple[str, str]]) -> list[BarOnsets]:
    meter = parse("2/4")
    return [
        BarOnsets(
            str(number),
            meter,
            2 * BEAT,
            (*FIGURES[first], *(BEAT + onset for onset in FIGURES[second])),
        )
        for number, (first, second) in enumerate(parts)
    ]


@given(st.lists(BAR, min_size=2, max_size=4))
def test_it_is_found_where_the_slow_definition_says(parts: list[tuple[str, str]]) -> None:
    found: set[Choice] = set()
    for (_, level, basis, (triplets, dotted)), beats in pulls_in(lines(parts)):
        if basis == "dotted":
            assert level == "beat"
            kind = "dotted" if dotted.groups == (9, 3) else "short-long"
            sides = frozenset(dotted.parts), frozenset(triplets.parts)
            found |= {(beat, kind, *sides) for beat in beats or (1, 2)}
    assert found == slowly(parts)


@given(st.lists(BAR, min_size=2, max_size=4))
def test_what_stays_four_against_three_has_a_note_no_dotted_rhythm_has(
    parts: list[tuple[str, str]],
) -> None:
    for (ratio, _, _, (fours, _)), beats in pulls_in(lines(parts)):
        if ratio == (4, 3):
            for beat in beats or (1, 2):
                names = {parts[int(part)][beat - 1] for part in fours.parts}
                assert any("sixteenth" in name or name == "rest" for name in names)


def test_its_sides_are_the_triplets_and_the_dotted_rhythm_as_written() -> None:
    (found,) = conflicts_of(lay(score(V="2/4 e3 e3 e3 q", C="2/4 e. s q")))
    assert (found.basis, found.level, found.beats) == ("dotted", "beat", ((1,),))
    triplets, dotted = found.sides
    assert triplets.cuts == (Fraction(0), Fraction(1, 3), Fraction(2, 3))
    assert dotted.cuts == (Fraction(0), Fraction(3, 4))
    assert dotted.with_triplet.cuts == (Fraction(0), Fraction(2, 3))
    assert found.numbers == ("dotted", "triplet")


@pytest.mark.parametrize(
    ("dotted", "triplets", "level"),
    [
        ("2/4 s e. q", "2/4 e3 e3 e3 q", "beat"),  # short-long
        ("2/4 e. s q", "6/8 e e e q.", "beat"),  # in two meters
        ("2/2 q. e h", "2/2 q3 q3 q3 h", "beat"),  # a half as the beat
        ("4/4 q. e h", "4/4 q3 q3 q3 h", "bar"),  # over two beats
    ],
)
def test_its_relatives(dotted: str, triplets: str, level: str) -> None:
    (found,) = conflicts_of(lay(score(V=dotted, C=triplets)))
    assert (found.basis, found.level, found.is_notated) == ("dotted", level, False)
    assert found.is_short_first == ("s e." in dotted)
    assert [side.parts for side in found.sides] == [("P2",), ("P1",)]


def test_real_sixteenths_in_another_part_say_where_the_short_note_falls() -> None:
    (found,) = conflicts_of(lay(score(V="2/4 e3 e3 e3 q", C="2/4 e. s q", W="2/4 s s s s q")))
    assert (found.ratio, found.basis) == ((4, 3), "rhythm")
    assert [side.parts for side in found.sides] == [("P2", "P3"), ("P1",)]


def test_a_stretch_goes_on_while_its_sides_stay() -> None:
    bar = lines([("dotted", "dotted"), ("triplet", "triplet")])
    turned = lines([("triplet", "triplet"), ("dotted", "dotted")])
    found = conflicts([(1, bar), (2, bar), (3, turned)])
    assert [(one.first, one.last) for one in found] == [(1, 2), (3, 3)]


@pytest.mark.parametrize(
    ("path", "bars"),
    [
        # Read in the notes: triplets in the left and right hand, dotted eighth and sixteenth in
        # the voice on the first beat.
        ("schubert/Lindenbaum.xml", {38, 42}),
        # The first violin has triplets throughout, the second enters with a dotted figure.
        ("beethoven/opus59no2/movement2.mxl", {35, 37, 38, 39, 116, 117, 118}),
    ],
)
def test_in_real_scores_it_is_where_the_notes_have_it(path: str, bars: set[int]) -> None:
    found = conflicts_of(lay(corpus(path).score))
    dotted = {bar for one in found if one.is_dotted for bar in range(one.first, one.last + 1)}
    assert dotted >= bars
    assert not any(one.ratio == (4, 3) for one in found)
