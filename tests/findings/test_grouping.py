"""Groups that cross the meter. What counts as one is common practice, no source; the ratios
and the place where group and bar meet again are arithmetic (least common multiple)."""

from fractions import Fraction
from math import lcm

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.grouping import Grouping, groupings
from companion.findings.hemiola import hemiolas
from companion.rhythm.meter import parse
from tests.findings.music import Played, texture, texture_of_notes

EIGHTH = Fraction(1, 2)
SIXTEENTH = Fraction(1, 4)


def test_three_eighths_over_a_four_square_bar_are_three_against_four() -> None:
    (found,) = groupings(texture("2/4", V="e60 e62 e67 e60 e62 e67 | e60 e62 e67 e60 e62 e67"))
    assert found == Grouping(
        1, 3, ("V",), parse("2/4"), (3, 4), EIGHTH, "bar", 4, (4, 3), 0, ("pitch",)
    )


def test_in_four_four_they_pull_against_the_half_bar_and_meet_after_three_bars() -> None:
    (found,) = groupings(texture("4/4", V="e60 e62 e67 " * 4))
    assert (found.ratio, found.level, found.meets_after) == ((3, 4), "half bar", (8, 3))


def test_a_rhythm_over_the_bar_is_a_group_without_any_pitch() -> None:
    (found,) = groupings(texture("2/4", V="q e q e q e q e"))
    assert (found.ratio, found.repeats, found.evidence) == ((3, 4), 4, ("rhythm",))


def test_dotted_quarters_over_four_four_are_three_against_four() -> None:
    (found,) = groupings(texture("4/4", V="q. q. q. q. q. q. q. q. w"))
    assert (found.first, found.last, found.ratio) == (1, 3, (3, 4))


def test_half_note_triplets_are_a_period_of_their_own_across_the_beats() -> None:
    (found,) = groupings(texture("4/4", V="h3 h3 h3 h3 h3 h3"))
    assert (found.first, found.last, found.parts, found.evidence) == (1, 2, ("V",), ("rhythm",))
    assert found.ratio[0] * found.pulse == Fraction(4, 3)


@pytest.mark.parametrize(
    ("line", "sign"),
    [
        ("e60( e62 e64 e65( e67 e65 e64( e62 e60 e59( e57 e59 e60 e60 e60 e60", "slur"),
        ("e60[ e62 e64 e65[ e67 e65 e64[ e62 e60 e59[ e57 e59 e60 e60 e60 e60", "beam"),
        ("e48 e60 e64 e50 e59 e62 e47 e65 e62 e48 e64 e60 e60 e60 e60 e60", "low"),
    ],
)
def test_slurs_beams_and_low_notes_group_a_stream(line: str, sign: str) -> None:
    (found,) = groupings(texture("4/4", V=line))
    assert (found.first, found.ratio, found.pulse) == (1, (3, 4), EIGHTH)
    assert sign in found.evidence


def test_slurs_of_two_quarters_over_two_bars_of_three_are_no_group_but_a_hemiola() -> None:
    music = texture("3/4", V="e60( e62 e64 e65 e67( e65 e64 e62 e60( e62 e64 e65 h.60")
    assert groupings(music) == ()
    (found,) = hemiolas(music)
    assert (found.first, found.last, found.evidence) == (1, 2, ("slur",))


def test_low_notes_and_chords_in_twos_are_a_hemiola() -> None:
    (found,) = hemiolas(texture("3/4", V="q48 q64 | q50 q65 | q47 q64 q48 q60 q48 q64"))
    assert (found.first, found.last) == (1, 4)


def test_accents_alone_make_a_group_of_equal_notes() -> None:
    (found,) = groupings(texture("4/4", V="e> e e e> e e e> e e e> e e e e e e"))
    assert (found.ratio, found.evidence) == ((3, 4), ("accent",))


def test_a_sequence_counts_whatever_the_quality_of_its_steps() -> None:
    c_major = "e72 e74 e76 e71 e72 e74 e69 e71 e72 e67 e69 e71 q72"
    (found,) = groupings(texture("4/4", V=c_major))
    assert (found.ratio, found.evidence) == ((3, 4), ("pitch",))


def test_repeated_notes_that_change_in_threes_are_groups_of_three() -> None:
    (found,) = groupings(texture("4/4", V="e60 e60 e60 e62 e62 e62 e64 e64 e64 q"))
    assert (found.ratio, found.evidence) == ((3, 4), ("pitch",))


def test_four_sixteenths_in_six_eight_are_two_against_three() -> None:
    (found,) = groupings(texture("6/8", V="e55 " + "s60 s64 s67 s64 " * 3 + "q."))
    assert (found.ratio, found.pulse, found.level) == ((2, 3), EIGHTH, "beat")


def test_parts_that_play_the_same_groups_are_told_together() -> None:
    figure, other = "e60 e62 e67 " * 4, "e48 e50 e55 " * 4
    (found,) = groupings(texture("2/4", V=figure, W="h " * 3, C=other))
    assert found.parts == ("V", "C")


def test_three_repeats_that_make_two_bars_need_no_fourth() -> None:
    (found,) = groupings(texture("3/4", V="q50 | q.60 e62 q.59 e57 q.64 e55 | h50"))
    assert (found.ratio, found.repeats, found.evidence) == ((2, 3), 3, ("rhythm",))


def test_three_repeats_that_rise_and_fall_alike_need_no_fourth() -> None:
    alike = "q60 e64 e62 e60 q67 e69 e65 e64 q72 e77 e74 e72 h70"
    (found,) = groupings(texture("4/4", V=alike))
    assert (found.ratio, found.repeats, found.evidence) == ((5, 4), 3, ("rhythm",))
    assert groupings(texture("4/4", V=alike.replace("e65 e64", "e70 e71"))) == ()


def test_a_rhythm_in_threes_is_not_told_again_for_its_melody_in_sixes() -> None:
    (found,) = groupings(texture("4/4", V="q60 e62 q65 e64 " * 3))
    assert (found.ratio, found.repeats) == ((3, 4), 6)


def test_a_whole_score_in_three_four_with_groups_of_two_beats_is_left_to_the_hemiola() -> None:
    assert groupings(texture("3/4", V="q60 e62 e64 " * 6)) == ()


@pytest.mark.parametrize(
    ("meter", "line"),
    [
        ("4/4", "e60 " * 16),
        ("4/4", "e60 e62 e64 e65 e67 e69 e71 e72 e74 e76 e77 e79 e81 e83 e84 e86"),
        ("4/4", "e60 e62 e64 e62 " * 4),
        ("2/4", "q e e " * 6),
        ("3/4", "q e e e e " * 4),
        ("4/4", "e360 e362 e360 e362 e360 e362 " * 4),
        ("4/4", "q60 e62 e64 q60 | q60 e59 e57 q55 | w53"),
        ("4/4", "q e q e q e h"),
        ("6/8", "q e q e " * 3),
        ("4/4", "e60 e62 e67 e60 e62 e67 e60 e62 s67 s55 h"),
        ("2/4", "e60 e62 e67 e64 e65 e69 e72 e71 e55 " * 3),
        ("4/4", "s48 s50 s52 s53 s55 s57 s64 s62 s60 s59 s67 s65 s64 s62 s60 s59 s57 s55"),
    ],
    ids=(
        "repeated notes",
        "a scale",
        "half bars",
        "figures of a beat",
        "figures of a bar",
        "a trill in triplets",
        "figures of a bar in sequence",
        "three short and long by chance",
        "the meter's own rhythm",
        "a third time cut short",
        "more than two bars",
        "scales broken by two leaps",
    ),
)
def test_what_fits_the_meter_or_has_no_corners_is_no_group(meter: str, line: str) -> None:
    assert groupings(texture(meter, V=line)) == ()


RISING = st.lists(st.integers(55, 80), min_size=3, max_size=7)


@st.composite
def plantings(draw: st.DrawFn) -> tuple[list[int], int, int]:
    """A figure in 16ths that does not fit 4/4, how often, and on which 16th it begins."""
    figure = draw(
        RISING.filter(
            lambda figure: (
                len(figure) in (3, 5, 6, 7)
                and len(set(figure)) == len(figure)
                and not is_sequence(figure)
                and not has_low_notes(figure)
            )
        )
    )
    return figure, draw(st.integers(3, 6)), draw(st.integers(4, 20))


def is_sequence(figure: list[int]) -> bool:
    """Whether it rises and falls so evenly that shorter groups might be seen in it."""
    ways = [b > a for a, b in zip(figure, figure[1:] + figure[:1], strict=True)]
    return sum(ways) in (0, 1, len(ways) - 1, len(ways)) or any(
        ways == ways[:size] * (len(ways) // size)
        for size in range(1, len(ways))
        if len(ways) % size == 0
    )


def has_low_notes(figure: list[int]) -> bool:
    """Whether notes a fourth below both neighbours might group it in another way."""
    around = zip([figure[-1], *figure], figure, [*figure[1:], figure[0]], strict=False)
    return sum(min(before, after) - here >= 5 for before, here, after in around) > 1


def plainly(bars: int) -> list[Played]:
    """Bars that cross nothing: their figures are a bar long."""
    bar: list[Played] = [(Fraction(n), 50 + n, False) for n in (2, 1, 1)]
    return bar * bars


NOISE = st.lists(
    st.tuples(
        st.sampled_from([SIXTEENTH, EIGHTH, Fraction(1, 3), Fraction(1)]),
        st.none() | st.integers(40, 80),
        st.booleans(),
    ),
    max_size=60,
)


@given(plantings(), st.data())
def test_a_planted_group_is_found_in_just_its_bars(
    planting: tuple[list[int], int, int], data: st.DataObject
) -> None:
    figure, times, lead = planting
    before = [(lead * SIXTEENTH, 40, False)]
    played = [(SIXTEENTH, pitch, False) for pitch in figure * times]
    lines: dict[str, list[Played]] = {
        "A": plainly(6),
        "V": [*before, *played, (Fraction(4), None, False)],
        "C": [*data.draw(NOISE)],
    }
    (group,) = [group for group in groupings(texture_of_notes("4/4", lines)) if "V" in group.parts]
    size = len(figure)
    assert (group.first, group.last) == (lead // 16 + 1, (lead + size * times - 1) // 16 + 1)
    assert (group.parts, group.repeats) == (("V",), times)
    assert group.ratio[0] * group.pulse == size * SIXTEENTH
    assert group.meets_after == (lcm(size, 16) // size, lcm(size, 16) // 16)


CELLS = ["q", "e e", "e. s", "s s s s", "e s s", "s s e", "e3 e3 e3", "q3 e3", "rq"]


@given(
    st.lists(
        st.lists(st.tuples(st.sampled_from(CELLS), st.integers(0, 11)), min_size=4, max_size=4),
        min_size=1,
        max_size=3,
    ),
    st.sampled_from(["2/4", "4/4"]),
)
def test_ostinatos_of_the_bar_never_cross_it(
    parts: list[list[tuple[str, int]]], meter: str
) -> None:
    lines = {}
    for index, cells in enumerate(parts):
        bar = []
        for place, (cell, pitch) in enumerate(cells):
            for word in cell.split():
                bar.append(word if word[0] == "r" else f"{word}{50 + 13 * place % 40 + pitch}")
        lines[f"part{index}"] = " ".join(bar * 6)
    assert groupings(texture(meter, **lines)) == ()
