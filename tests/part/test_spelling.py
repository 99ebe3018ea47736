"""Exact lengths become notes a player can read, or nothing at all.

Tuplet numbers as players count them (three in the time of two; two in the time of three)
are common practice, no source; lengths are arithmetic.
"""

from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.part.cue_lines import CueNote
from companion.part.note_spelling import Spelled, beams, ratio_of, spell

BEATS = frozenset(map(Fraction, range(5)))
ONE = Fraction(1)


def line(*lengths: str, scale: Fraction = ONE, shrink: Fraction = ONE) -> list[CueNote]:
    """A line without gaps; lengths in the player's quarters, `r1/2` a rest."""
    values = [Fraction(length.removeprefix("r")) for length in lengths]
    starts = accumulate(values, initial=Fraction(0))
    return [
        CueNote(at, value, () if length.startswith("r") else ("A4",), scale, shrink)
        for at, value, length in zip(starts, values, lengths, strict=False)
    ]


def spelled(sounds: list[CueNote], scale: Fraction = ONE) -> tuple[Spelled, ...]:
    found = spell(sounds, sounds[-1].end, BEATS, scale)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("share", "ratio"),
    [
        ("1", (1, 1)),
        ("2", (1, 1)),
        ("2/3", (3, 2)),
        ("4/3", (3, 2)),
        ("1/3", (3, 2)),
        ("3/2", (2, 3)),
        ("3/4", (2, 3)),
        ("4/5", (5, 4)),
        ("4/7", (7, 4)),
        ("8/9", (9, 8)),
    ],
)
def test_a_share_is_counted_the_way_players_count(share: str, ratio: tuple[int, int]) -> None:
    assert ratio_of(Fraction(share)) == ratio


def test_a_tuplet_nobody_counts_is_refused() -> None:
    assert ratio_of(Fraction(16, 11)) is None


def test_plain_and_dotted_notes_are_themselves() -> None:
    found = spelled(line("1", "3/2", "1/2", "1"))
    assert [(note.name, note.dots) for note in found] == [
        ("quarter", 0),
        ("quarter", 1),
        ("eighth", 0),
        ("quarter", 0),
    ]


def test_a_length_no_note_has_is_tied_from_two() -> None:
    found = spelled(line("5/2", "3/2"))
    assert [note.name for note in found] == ["half", "eighth", "quarter"]
    assert [(note.sound.is_tied_on, note.sound.is_tied_back) for note in found] == [
        (True, False),
        (False, True),
        (False, False),
    ]


def test_six_triplet_sixteenths_are_two_threes() -> None:
    found = spelled(line(*["1/6"] * 6, shrink=Fraction(2, 3)))
    assert [note.opens_tuplet for note in found] == [True, False, False] * 2
    assert [note.closes_tuplet for note in found] == [False, False, True] * 2


def test_a_triplet_that_is_not_whole_is_not_written() -> None:
    assert spell(line("1/3", "1/3", shrink=Fraction(2, 3)), Fraction(2, 3), BEATS, ONE) is None


def test_lines_that_overlap_are_not_written() -> None:
    sounds = [CueNote(Fraction(0), ONE, ("A4",)), CueNote(Fraction(1, 2), ONE, ("B4",))]
    assert spell(sounds, Fraction(4), BEATS, ONE) is None


def test_gaps_are_filled_with_rests_that_stand_on_their_beats() -> None:
    sounds = [CueNote(Fraction(1, 2), Fraction(1, 2), ("A4",))]
    found = spell(sounds, Fraction(4), BEATS, ONE)
    assert found is not None
    assert [(note.name, bool(note.sound.pitches)) for note in found] == [
        ("eighth", False),
        ("eighth", True),
        ("quarter", False),
        ("half", False),
    ]


@given(st.lists(st.sampled_from(["1/4", "1/2", "3/4", "1", "3/2", "2", "r1/2", "r1"]), min_size=1))
def test_nothing_is_lost_or_gained_in_plain_spelling(lengths: list[str]) -> None:
    sounds = line(*lengths)
    found = spelled(sounds)
    assert sum(note.sound.length for note in found) == sounds[-1].end
    assert [note.sound.at for note in found] == [sound.at for sound in sounds]


@given(st.sampled_from(["2/3", "3/2", "4/3", "3/4"]), st.integers(1, 4))
def test_whole_beats_of_another_meter_always_come_out(scale: str, beats: int) -> None:
    """Beats of the line scaled onto the player's beats."""
    by = Fraction(scale)
    beat = by * (Fraction(3, 2) if by.numerator != 3 else 1)
    boundaries = frozenset(beat * n for n in range(9))
    eighths = 3 if by.numerator != 3 else 2
    sounds = line(*[str(beat / eighths)] * (beats * eighths), scale=by)
    found = spell(sounds, beat * beats, boundaries, by)
    assert found is not None
    assert [note.sound.at for note in found] == [sound.at for sound in sounds]


def test_beams_join_what_falls_into_one_beat() -> None:
    found = spelled(line("1/2", "1/2", "1/2", "1/4", "1/4", "1", "1/2", "r1/2"))
    assert beams(found, BEATS) == [
        ("begin",),
        ("end",),
        ("begin",),
        ("continue", "begin"),
        ("end", "end"),
        (),
        (),
        (),
    ]


def test_a_dotted_figure_has_a_hook() -> None:
    assert beams(spelled(line("3/4", "1/4")), BEATS) == [("begin",), ("end", "backward hook")]
    assert beams(spelled(line("1/4", "3/4")), BEATS) == [("begin", "forward hook"), ("end",)]
