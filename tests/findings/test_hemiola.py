"""Hemiola in the narrow sense: two bars of three articulated as three of two, in succession
(The New Grove, 1980, as quoted in an encyclopedia). The kinds inside one bar, 3/4 in 6/8 and
6/8 in 3/4, are common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.grouping import groupings
from companion.findings.hemiola import ACROSS_BARS, THREE_IN_TWO, TWO_IN_THREE, Hemiola, hemiolas
from companion.rhythm.meter import parse
from tests.findings.music import GRAINS, Played, texture, texture_of_notes

PLAIN = "h q h q h q h q"
"""Bars of 3/4 that keep it."""


def test_three_halves_over_two_bars_of_three_four_change_the_feel_of_all() -> None:
    music = texture("3/4", V="h.65 | h62 q+q64 h67 | h.65", C="h.48 | h.+h.50 | h.48")
    (found,) = hemiolas(music)
    assert found == Hemiola(
        2, 3, ACROSS_BARS, parse("3/4"), ("V",), (), ("rhythm",), start=3 * GRAINS
    )
    assert found.is_change_of_feel


def test_one_part_against_those_that_strike_the_barline_is_a_conflict() -> None:
    (found,) = hemiolas(texture("3/4", V="h h h h.", W="h. h. h.", C="q q q q q q h."))
    assert (found.parts, found.against) == (("V",), ("W", "C"))
    assert not found.is_change_of_feel


def test_a_part_that_rests_or_holds_is_on_no_side() -> None:
    (found,) = hemiolas(texture("3/4", V="h h h", W="h.+h.", C="rh. rh."))
    assert (found.parts, found.against) == (("V",), ())


def test_who_strikes_after_every_head_answers() -> None:
    """Common practice, no source: after-beats of a hemiola belong to it."""
    (found,) = hemiolas(
        texture("6/8", V="q q q", W="e re e re e re", C="re e re e re e", B="q. q.")
    )
    assert found.parts == ("V", "W")
    assert (found.answering, found.against) == (("C",), ("C", "B"))


def test_quarters_that_reach_the_next_bar_do_not_make_it_a_hemiola() -> None:
    """Every other bar is in three; the bars between strike their second beat, and C goes with
    the quarters only in the bars in three."""
    music = texture(
        "6/8",
        V=" | ".join(["q e q.", *["q q q", "q e q."] * 3]),
        C=" | ".join(["re q q e", *["re e re e re e", "re q q e"] * 3]),
        B=" | ".join(["q. q."] * 7),
    )
    (found,) = [one for one in hemiolas(music) if "V" in one.parts]
    assert (found.first, found.last, found.alternates) == (1, 6, True)
    assert (found.against, found.answering) == (("C", "B"), ("C",))


def test_one_rhythm_three_times_in_two_bars_is_a_hemiola() -> None:
    (found,) = hemiolas(
        texture("3/4", V="h.62 | e60 e62 q64 e67 e64 q59 e57 e65 q60 | h.60", C=PLAIN)
    )
    assert (found.first, found.last, found.evidence) == (2, 3, ("rhythm",))
    assert (found.parts, found.against) == (("V",), ("C",))


def test_pairs_of_repeated_quarters_are_a_hemiola_of_pitch() -> None:
    (found,) = hemiolas(texture("3/4", V="h.62 | q57 q57 q54 q54 q50 q50 | h.57"))
    assert (found.first, found.last, found.evidence) == (2, 3, ("pitch",))


def test_accents_on_every_second_beat_are_a_hemiola() -> None:
    (found,) = hemiolas(texture("3/4", V="q q q> q q> q h."))
    assert (found.kind, found.evidence) == (ACROSS_BARS, ("accent",))


def test_accents_on_the_second_group_alone_do_not_make_two_groups() -> None:
    assert hemiolas(texture("3/4", V="q e e> e e q e e> e e")) == ()


def test_pitches_that_change_with_the_groups_need_equal_notes() -> None:
    assert hemiolas(texture("3/4", V="q60 q60 q62 q62 e64 e64 e64 e64 h.65")) == ()


def test_quarters_in_six_eight_bring_the_feel_of_three_four() -> None:
    (found,) = hemiolas(texture("6/8", V="q. q. | q q q | q. q.", C="h. | q. q. | h."))
    assert (found.first, found.last, found.kind) == (2, 2, THREE_IN_TWO)
    assert (found.parts, found.against) == (("V",), ("C",))


def test_dotted_quarters_in_three_four_bring_the_feel_of_six_eight() -> None:
    (found,) = hemiolas(texture("3/4", V="q q q | q. q. | q. q. | h q", C="h. h. h. h."))
    assert (found.first, found.last, found.kind) == (2, 3, TWO_IN_THREE)
    assert found.is_change_of_feel


def test_a_repeated_figure_of_two_beats_is_told_as_far_as_it_goes() -> None:
    line = "h q60 | e62 e64 q60 e62 e64 | q60 e62 e64 q60 | e62 e64 q60 e62 e64 | h.50"
    score = texture("3/4", V=line)
    (found,) = hemiolas(score)
    assert (found.first, found.last, found.evidence) == (1, 4, ("pitch", "rhythm"))
    assert groupings(score) == ()


def test_groups_that_begin_in_the_middle_of_a_bar_are_followed_from_there() -> None:
    """Groups of two beats from the last beat of bar 2: the next barline they begin with is 4."""
    (found,) = hemiolas(texture("3/4", V="h. rq rq " + "q64> q60 " * 7 + "h", C="q q q " * 7))
    assert (found.first, found.last, found.against) == (2, 7, ("C",))
    assert (found.start, found.evidence) == (5 * GRAINS, ("accent", "pitch"))


@pytest.mark.parametrize(
    ("meter", "line"),
    [
        ("3/4", "h q+q q q h."),
        ("3/4", "h q rq h h."),
        ("3/4", "h q h q"),
        ("3/4", "q q q q q q"),
        ("3/4", "q. e q q. e q"),
        ("3/4", "q. e e e h."),
        ("6/8", "q e q e"),
        ("6/8", "q e+q e q."),
        ("6/8", "e e e e e e"),
        ("2/4", "h+q q q q h"),
        ("4/4", "h h h h h h"),
        ("3/4", "q57 q57 q54 q54 q50 q50 q50 h57"),
    ],
    ids=(
        "a suspension",
        "a pickup and a late entry",
        "long and short",
        "plain beats",
        "dotted",
        "dotted with a turn",
        "the compound beat",
        "a tie over the beat",
        "plain pulses",
        "two beats a bar",
        "four beats a bar",
        "pairs that do not end with the bar",
    ),
)
def test_what_three_groups_would_need_is_not_there(meter: str, line: str) -> None:
    assert hemiolas(texture(meter, V=line)) == ()


SLOTS = st.lists(st.integers(1, 6), min_size=1, max_size=12).filter(lambda ns: sum(ns) >= 12)
"""Lengths in eighths that fill two bars of 3/4."""


def is_hemiola_slowly(lengths: list[int]) -> bool:
    """Over two bars of 3/4, by the docstring: single notes held over the middle or all equal;
    or one rhythm three times that has no shorter one in it."""
    starts = [sum(lengths[:i]) for i in range(len(lengths))]
    inside = [(at, n) for at, n in zip(starts, lengths, strict=True) if at < 12]
    if [at for at, _ in inside] == [0, 4, 8]:
        return len({n for _, n in inside}) == 1 or any(at < 6 < at + n for at, n in inside)
    groups = [[at - head for at, _ in inside if head <= at < head + 4] for head in (0, 4, 8)]
    if not groups[0] or groups[0][0] or groups[1] != groups[0] or groups[2] != groups[0]:
        return False
    return len(groups[0]) > 1 and groups[0] not in ([0, 2], [0, 1, 2, 3])


@given(SLOTS)
def test_two_bars_are_a_hemiola_exactly_where_the_slow_definition_says(lengths: list[int]) -> None:
    played: list[Played] = [(Fraction(n, 2), 50 + 7 * i % 30, False) for i, n in enumerate(lengths)]
    found = hemiolas(texture_of_notes("3/4 x 2", {"V": played}), ())
    kinds = [one for one in found if one.kind == ACROSS_BARS]
    assert bool(kinds) == is_hemiola_slowly(lengths)


@st.composite
def noise(draw: st.DrawFn, bars: int) -> list[Played]:
    """Bars of 3/4 each begun with a long note and rising, so that no bar is bridged, and neither
    rhythm nor pitch regroups it."""
    played: list[Played] = []
    for _ in range(bars):
        pitch = draw(st.integers(40, 80))
        ending = draw(st.sampled_from([(2, 2), (2, 1, 1), (1, 3), (3, 1)]))
        played += [(Fraction(2, 2), pitch, False)]
        played += [(Fraction(n, 2), pitch + 2 * k, False) for k, n in enumerate(ending, 1)]
    return played


@given(st.data(), st.integers(0, 4), st.integers(1, 3), st.integers(0, 3))
def test_planted_hemiolas_are_found_in_just_their_bars(
    data: st.DataObject, before: int, times: int, after: int
) -> None:
    bars = before + 2 * times + after
    planted: list[Played] = [(Fraction(2), 40 + 3 * i, False) for i in range(3 * times)]
    line = [*data.draw(noise(before)), *planted, *data.draw(noise(after))]
    others = {"A": data.draw(noise(bars)), "C": data.draw(noise(bars))}
    found = [
        one
        for one in hemiolas(texture_of_notes("3/4", {**others, "V": line}))
        if "V" in one.parts and one.kind == ACROSS_BARS
    ]
    (one,) = found
    assert (one.first, one.last) == (before + 1, before + 2 * times)
    assert set(one.against) == {"A", "C"}


@given(st.lists(noise(6), min_size=1, max_size=4))
def test_bars_that_keep_their_meter_have_no_hemiola(parts: list[list[Played]]) -> None:
    lines = {f"part{i}": line for i, line in enumerate(parts)}
    assert [h for h in hemiolas(texture_of_notes("3/4", lines), ()) if h.kind == ACROSS_BARS] == []
