"""A part that goes on steadily beside the meter: where its own downbeats fall, and against whom.

The kinds are those of music theory: displacement keeps the length of a layer of the meter and
shifts it, where grouping changes the length (H. Krebs, Fantasy Pieces: Metrical Dissonance in
the Music of Robert Schumann, 1999; the distinction from memory). Real places were read in the
notes, one by one.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.displacement import Displacement, displacements
from tests.findings.music import Played, texture, texture_of_notes
from tests.findings.real_scores import corpus

HALF = EIGHTH = Fraction(1, 2)


def facts(found: Displacement) -> tuple[object, ...]:
    return found.first, found.last, found.parts, found.level, found.late


def test_a_scherzo_with_accented_eighths_tied_over_every_barline() -> None:
    music = texture(
        "3/4",
        V="q q e e+e> e q e e+e> e q e e+e> e q e e+e> e q q",
        C="h. h. h. h. h.",
    )
    (found,) = displacements(music)
    assert facts(found) == (1, 5, ("V",), "bar", Fraction(5, 2))
    assert found.evidence == ("accent", "tied") and found.against == ("C",)


def test_syncopated_quarters_against_plain_beats() -> None:
    music = texture("4/4", V="e q q q q q q q e", C="q q q q q q q q")
    (found,) = displacements(music)
    assert facts(found) == (1, 2, ("V",), "beat", HALF)
    assert (found.evidence, found.against) == (("held",), ("C",))


def test_the_same_with_nobody_on_the_beat_pulls_against_nothing() -> None:
    assert displacements(texture("4/4", V="e q q q q q e", C="w w")) == ()


def test_half_notes_tied_over_two_barlines_need_no_partner() -> None:
    (found,) = displacements(texture("4/4", V="q h h h h h q"))
    assert facts(found) == (1, 3, ("V",), "half bar", Fraction(1))


def test_two_accents_of_four_are_enough_and_need_no_partner() -> None:
    (found,) = displacements(texture("4/4", V="e q> q q> e h"))
    assert (found.against, found.evidence) == ((), ("accent", "held"))
    assert displacements(texture("4/4", V="e q> q q e h")) == ()


def test_what_every_beat_says_is_not_said_of_every_bar_again() -> None:
    line = "e " + "q " * 15 + "e"
    (found,) = displacements(texture("2/4", V=line, C="q " * 16))
    assert (found.level, found.first, found.last) == ("beat", 1, 8)


def test_a_bar_long_displacement_stays_if_few_beats_say_the_same() -> None:
    tied = "q e e+e e e e+e e e e+e e e e+e e e e+e e e e+"
    music = texture("2/4", V=f"{tied}e q q q q q q e", C="q " * 20)
    assert [found.level for found in displacements(music)] == ["bar", "beat"]


def test_after_beats_running_through_against_the_bass() -> None:
    music = texture("2/4", V="re e re e re e re e re e re e", C="q q q q q q")
    (found,) = displacements(music)
    assert facts(found) == (1, 3, ("V",), "beat", EIGHTH)
    assert found.evidence == ("after-beats",)


def test_after_beats_end_in_the_bar_of_the_last_one() -> None:
    """The fourth bar begins on the beat: nothing goes beside it there."""
    music = texture("2/4", V="re e re e re e re e re e re e h", C="q q q q q q h")
    (found,) = displacements(music)
    assert (found.first, found.last, found.evidence) == (1, 3, ("after-beats",))


def test_accents_on_the_second_beat_of_every_bar() -> None:
    (found,) = displacements(texture("3/4", V="q q> q q q> q q q> q"))
    assert facts(found) == (1, 3, ("V",), "bar", Fraction(1))


@pytest.mark.parametrize(
    ("meter", "line"),
    [
        ("4/4", "q q q q q q q q q q q q"),
        ("4/4", "e q q q e q q q q"),
        ("3/4", "q> q q q> q q q> q q"),
        ("3/4", "q q> q q q q q q> q"),
        ("4/4", "h h h h h h"),
        ("4/4", "q h q q h q q h q"),
        ("2/4", "q q+q q q+q q q"),
    ],
    ids=(
        "plain beats",
        "one bar of syncopation",
        "accents on the beat",
        "two accents",
        "half notes",
        "long second beats within their bars",
        "a tie here and there",
    ),
)
def test_what_goes_with_the_meter_is_not_displaced(meter: str, line: str) -> None:
    assert displacements(texture(meter, V=line, C="q " * 12)) == ()


def slowly(lead: Fraction, count: int, beats: int) -> bool:
    """The definition said out loud: all notes begin off the beat, enough of them for a finding
    against a part on every beat: six, or four over two barlines."""
    at = [lead + n for n in range(count)]
    off = all((start - int(start)) != 0 for start in at)
    barlines = sum(int(start) // beats < int(start + 1) // beats for start in at)
    return off and (count >= 6 or (count >= 4 and barlines > 1))


@given(
    st.sampled_from([2, 3, 4]),
    st.integers(0, 16).map(lambda n: Fraction(n, 4)),
    st.integers(2, 16),
)
def test_quarters_are_displaced_if_the_slow_definition_says_so(
    beats: int, lead: Fraction, count: int
) -> None:
    rest = lead + 4  # beats before, so that no first bar is special
    line: list[Played] = [(rest, None, False), *[(Fraction(1), 60, False)] * count]
    music = texture_of_notes(
        f"{beats}/4", {"V": line, "C": [(Fraction(1), 50, False)] * (count + 24)}
    )
    found = [one for one in displacements(music) if one.level == "beat"]
    assert bool(found) == slowly(rest, count, beats)
    for one in found:
        assert one.first == int(rest) // beats + 1
        assert one.late == rest - int(rest)


@given(st.lists(st.lists(st.sampled_from(["q", "e e", "rq", "s s s s"]), max_size=24), max_size=3))
def test_bars_that_strike_their_beats_are_never_displaced(lines: list[list[str]]) -> None:
    parts = {f"P{n}": " ".join(line) for n, line in enumerate(lines)}
    found = displacements(texture("4/4", **parts, C="q " * 24)) if any(parts.values()) else ()
    assert found == ()


@pytest.mark.parametrize(
    ("path", "bars", "parts", "level", "late"),
    [
        # Offbeat sforzati of all three, on the second eighth of 3/8.
        ("beethoven/opus18no4.mxl", (241, 248), ("P3",), "bar", HALF),
        # sf on the third beat of every bar of the minuet.
        ("beethoven/opus18no4.mxl", (484, 486), ("P1", "P2", "P3", "P4"), "bar", Fraction(2)),
        # Syncopated accompaniment over the barlines of 6/8.
        ("beethoven/opus59no2/movement1.mxl", (234, 242), ("P1", "P2"), "bar", Fraction(5, 2)),
        # Chains of suspensions: one inner voice of a chorale, three bars.
        ("bach/bwv396.mxl", (3, 5), ("P3",), "half bar", Fraction(1)),
    ],
)
def test_displacements_that_stand_in_real_scores(
    path: str, bars: tuple[int, int], parts: tuple[str, ...], level: str, late: Fraction
) -> None:
    assert (*bars, parts, level, late) in [
        facts(one) for one in displacements(corpus(path).texture)
    ]
