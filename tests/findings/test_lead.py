"""Who keeps the pulse, read from small textures whose notes leave no doubt; and a bar of the
music21 corpus, read by hand."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, conflicts_of
from companion.findings.heard_conflicts import heard_conflicts
from companion.findings.lead import Lead, Reason, lead_of, meets_on_the_beat
from companion.score.laying import lay
from companion.score.texture import Texture
from tests.findings.music import heard_conflict, texture
from tests.findings.real_scores import corpus


def three_two(first: int = 1, beats: tuple[int, ...] = ()) -> Conflict:
    sides = (Side(3, ("V",)), Side(2, ("C",)))
    return Conflict(first, first, (3, 2), "beat", "rhythm", sides, (beats,) if beats else ())


def lead(conflict: Conflict, music: Texture) -> Lead:
    return lead_of(conflict, heard_conflict(conflict, music).at, music)


@pytest.mark.parametrize(
    ("first", "second", "reason", "parts"),
    [
        ("e3 e3 e3 e3 e3 e3", "e e re e", Reason.EVEN, ("V",)),
        ("q3 e3 re3 e3 e3", "e e e e", Reason.EVEN, ("C",)),
        ("e3 e3 e3 e3 e3 e3", "e e e e", Reason.BOTH, ()),
        ("q3 e3 re3 e3 e3", "e e re e", Reason.UNCLEAR, ()),
    ],
)
def test_the_side_that_is_even_alone_keeps_the_pulse(
    first: str, second: str, reason: Reason, parts: tuple[str, ...]
) -> None:
    found = lead(three_two(), texture("2/4", V=first, C=second))
    assert (found.reason, found.parts) == (reason, parts)


def test_of_two_even_sides_the_one_that_goes_on_keeps_it() -> None:
    music = texture("2/4", V="h | e3 e3 e3 e3 e3 e3", C="e e e e | e e e e")
    assert lead(three_two(2), music) == Lead(Reason.GOES_ON, ("C",), has_every_beat=True)


def test_quarter_triplets_over_two_beats_are_even() -> None:
    music = texture("2/4", V="q3 q3 q3", C="re e e e")
    assert lead(three_two(), music) == Lead(Reason.EVEN, ("V",))


def test_only_the_beats_the_conflict_sits_in_count() -> None:
    music = texture("2/4", V="q e3 e3 e3", C="re e e e")
    assert lead(three_two(beats=(2,)), music).reason is Reason.BOTH


def test_a_part_on_neither_side_that_has_only_the_beats_is_named() -> None:
    music = texture("2/4", V="e3 e3 e3 e3 e3 e3", C="e e e e", B="q q", A="q e e")
    assert lead(three_two(), music).on_the_beat == ("B",)


def test_half_note_triplets_fit_themselves_to_the_beats() -> None:
    music = texture("4/4", V="h3 h3 h3", C="q q q q")
    sides = (Side(4, ("C",)), Side(3, ("V",)))
    conflict = Conflict(1, 1, (4, 3), "bar", "rhythm", sides)
    assert lead(conflict, music) == Lead(Reason.BEATS, ("C",), has_every_beat=True)


@pytest.mark.parametrize(
    ("line", "meets"), [("e e e e", True), ("re e re e", False), ("e e re e", None), ("h", None)]
)
def test_who_strikes_with_the_beat_is_told_only_if_it_is_always_so(
    line: str, meets: bool | None
) -> None:
    music = texture("2/4", V="e3 e3 e3 e3 e3 e3", C=line)
    at = heard_conflict(three_two(), music).at
    assert meets_on_the_beat(music, "C", at) is meets


@given(st.lists(st.sampled_from(["e3 e3 e3", "q3 e3", "re3 e3 e3"]), min_size=1, max_size=8))
def test_mostly_even_is_three_quarters_of_the_spans_and_nothing_on_the_other_side(
    beats: list[str],
) -> None:
    count = len(beats)
    music = texture(f"{count}/4", V=" ".join(beats), C="re e " * count)
    sides = (Side(3, ("V",)), Side(2, ("C",)))
    at = tuple((240 * beat, 240) for beat in range(count))
    found = lead_of(Conflict(1, 1, (3, 2), "beat", "rhythm", sides), at, music)
    share = Fraction(beats.count("e3 e3 e3"), count)
    expected = Reason.EVEN if share == 1 else Reason.MOSTLY
    assert found.reason is (expected if share >= Fraction(3, 4) else Reason.UNCLEAR)


def test_the_cello_has_its_triplets_before_the_second_violin_comes_in() -> None:
    # Beethoven, op. 59 no. 2, third movement (music21 corpus), read by hand: the cello begins
    # its triplets on the second beat of bar 65; in bars 66 and 67 the second violin has even
    # eighths on the first beat, which the cello meets on the beat.
    real = corpus("beethoven/opus59no2/movement3.mxl")
    found, music = conflicts_of(lay(real.score)), real.texture
    heard = list(heard_conflicts(found, music))
    which = next(index for index, one in enumerate(found) if one.first == 66)
    ids = {name: part for part, name in real.names.items()}
    lead_there = lead_of(found[which], heard[which].at, music)
    assert lead_there.reason is Reason.GOES_ON
    assert lead_there.parts == (ids["Violoncello."],)
    assert meets_on_the_beat(music, ids["Violin II."], heard[which].at) is True
