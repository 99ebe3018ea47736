"""Figures on their way through the parts. Names of the ways: common practice, no source."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.findings.handed_on import HandedOn, handed_on
from companion.findings.imitation import followings
from tests.findings.ensembles import Given, ensemble, line, shifted
from tests.findings.real_scores import Real, corpus, demo

FIGURE = line("e60 s62 s64 e65 e67 e65 e60 q64")
"""Eight notes over three and a half quarters, ending with a quarter: a bar of 4/4 in all."""
BAR = 48


def route(found: HandedOn) -> list[tuple[str, int]]:
    return [("+".join(entry.parts), entry.bar) for entry in found.entries]


def test_a_figure_handed_down_is_a_cascade() -> None:
    texture = ensemble(
        "4/4",
        A=FIGURE,
        B=shifted(FIGURE, BAR, -5),
        C=shifted(FIGURE, 2 * BAR, -12),
        D=line("w48 w48 w48 w48"),
    )
    (found,) = handed_on(texture)
    assert (found.kind, found.notes, route(found)) == ("cascade", 8, [("A", 1), ("B", 2), ("C", 3)])
    assert (found.first, found.last, found.parts) == (1, 3, ("A", "B", "C"))
    assert [entry.end for entry in found.entries] == [BAR, 2 * BAR, 3 * BAR]
    assert [(entry.cue, entry.after, entry.semitones) for entry in found.entries] == [
        ((), Fraction(0), 0),
        (("A",), Fraction(4), -5),
        (("B",), Fraction(4), -7),
    ]


def test_an_entry_before_the_other_is_through_is_imitation() -> None:
    texture = ensemble("4/4", A=FIGURE + line("q60 q59 h57", BAR), B=shifted(FIGURE, 24, 7))
    (found,) = handed_on(texture)
    assert (found.kind, route(found)) == ("imitation", [("A", 1), ("B", 1)])
    assert (found.entries[1].after, found.entries[1].semitones) == (Fraction(2), 7)


@pytest.mark.parametrize(
    ("later", "kind"), [(24, "imitation"), (30, "cascade"), (36, "cascade"), (BAR, "cascade")]
)
def test_a_cascade_may_begin_half_a_beat_before_the_last_note(later: int, kind: str) -> None:
    (found,) = handed_on(ensemble("4/4", A=FIGURE, B=shifted(FIGURE, later, 7)))
    assert found.kind == kind


def test_a_figure_handed_on_after_the_first_and_before_the_second_is_through_is_imitation() -> None:
    parts = {"A": FIGURE, "B": shifted(FIGURE, BAR, -5), "C": shifted(FIGURE, BAR + 24, -12)}
    (found,) = handed_on(ensemble("4/4", **parts))
    assert (found.kind, route(found)) == ("imitation", [("A", 1), ("B", 2), ("C", 2)])


@pytest.mark.parametrize(
    ("later", "count"), [(0, 1), (6, 1), (4, 1), (8, 1), (3, 0), (9, 0), (2, 0), (10, 0)]
)
def test_entries_are_whole_half_or_third_beats_apart(later: int, count: int) -> None:
    """A bar and so many twelfths of a beat."""
    texture = ensemble("4/4", A=FIGURE, B=shifted(FIGURE, BAR + later))
    assert len(handed_on(texture)) == count


def test_an_entry_when_the_other_goes_on_playing_is_imitation_too() -> None:
    goes_on = line("q60 s59 s60 e57 e55 e57 e59 e60", BAR)
    (found,) = handed_on(ensemble("4/4", A=FIGURE + goes_on, B=shifted(FIGURE, BAR, 7)))
    assert found.kind == "imitation"


def test_a_long_strict_follow_is_a_canon() -> None:
    tune = line("q60 e62 e64 q65 q67 | e69 e67 q65 h64 | q67 e65 e64 q62 q60 | e59 e60 q62 h60")
    (found,) = handed_on(ensemble("4/4", A=tune, B=shifted(tune, BAR, -12)))
    assert (found.kind, found.notes, found.entries[1].after) == ("canon", 18, Fraction(4))


@pytest.mark.parametrize(("apart", "kind"), [(72, "canon"), (84, "canon"), (90, "imitation")])
def test_a_canon_lasts_twice_as_long_as_its_voices_are_apart(apart: int, kind: str) -> None:
    """Three and a half bars from the first note to the last, and its half."""
    tune = line("q60 e62 e64 q65 q67 | e69 e67 q65 h64 | q67 e65 e64 q62 q60 | e59 e60 q62 h60")
    (found,) = handed_on(ensemble("4/4", A=tune, B=shifted(tune, apart, -12)))
    assert (found.kind, found.notes) == (kind, 18)


def test_a_line_that_comes_after_a_while_is_taken_up() -> None:
    tune = line("q60 e62 e64 q65 q67 | e69 e67 q65 h64")
    texture = ensemble("4/4", A=tune, B=shifted(tune, 4 * BAR, -12))
    (found,) = handed_on(texture)
    assert (found.kind, route(found)) == ("taken up", [("A", 1), ("B", 5)])


@pytest.mark.parametrize(("bars", "count"), [(6, 1), (7, 0)])
def test_a_line_is_taken_up_within_four_times_its_length(bars: int, count: int) -> None:
    tune = line("q60 e62 e64 q65 q67 | e69 e67 q65 h64")
    assert len(handed_on(ensemble("4/4", A=tune, B=shifted(tune, bars * BAR, -12)))) == count


def theme(bars: int) -> list[Given]:
    """Eight notes to every two bars in unequal values, then a last one on the next downbeat."""
    rhythm = [12, 6, 6, 24, 18, 6, 12, 12] * (bars // 2)
    starts = [*accumulate(rhythm, initial=0)]
    pitches = [60 + number * number % 13 for number in range(len(rhythm))]
    return [*zip(starts, rhythm, pitches, strict=False), (starts[-1], 24, 79)]


@pytest.mark.parametrize(
    ("length", "bars", "count"),
    [(2, 8, 1), (2, 9, 0), (4, 8, 1), (4, 9, 0), (6, 12, 1), (6, 13, 0)],
)
def test_a_theme_is_taken_up_within_eight_bars_or_twice_its_length(
    length: int, bars: int, count: int
) -> None:
    texture = ensemble("4/4", A=theme(length), B=shifted(theme(length), bars * BAR, -12))
    assert [one.kind for one in handed_on(texture)] == ["taken up"] * count


def test_a_line_of_less_than_a_bar_is_not_taken_up_three_bars_later() -> None:
    whole_bar = FIGURE + line("h60", BAR)
    for figure, count in ((FIGURE, 0), (whole_bar, 1)):
        assert len(handed_on(ensemble("4/4", A=figure, B=shifted(figure, 3 * BAR)))) == count


def test_a_close_follow_of_less_than_two_bars_is_imitation_and_no_canon() -> None:
    tune = line("e60 s62 s64 e65 e67 e69 e67 e65 e64 | e62 s60 s59 e60 e62 e64 e65 q67")
    (found,) = handed_on(ensemble("4/4", A=tune, B=shifted(tune, 24, 5)))
    assert (found.kind, found.notes) == ("imitation", 17)
    two_bars = tune + line("h60", 2 * BAR)
    (found,) = handed_on(ensemble("4/4", A=two_bars, B=shifted(two_bars, 24, 5)))
    assert (found.kind, found.notes) == ("canon", 18)


def test_two_parts_that_enter_together_are_one_entry() -> None:
    texture = ensemble(
        "4/4", A=FIGURE, B=shifted(FIGURE, BAR, 0), C=shifted(FIGURE, BAR, -4), D=line("w40 w40")
    )
    (found,) = handed_on(texture)
    assert route(found) == [("A", 1), ("B+C", 2)]
    assert found.entries[1].semitones is None
    last_two = {"C": shifted(FIGURE, 2 * BAR, -12), "D": shifted(FIGURE, 2 * BAR, -24)}
    (found,) = handed_on(ensemble("4/4", A=FIGURE, B=shifted(FIGURE, BAR), **last_two))
    assert route(found) == [("A", 1), ("B", 2), ("C+D", 3)]


def test_three_notes_alone_between_rests_are_a_figure_when_three_parts_have_it() -> None:
    motif = line("e67 q64 e60")
    three = {name: shifted(motif, 24 * n, -5 * n) for n, name in enumerate("ABC")}
    (found,) = handed_on(ensemble("4/4", **three))
    assert (found.kind, found.notes, len(found.entries)) == ("cascade", 3, 3)
    assert handed_on(ensemble("4/4", A=three["A"], B=three["B"])) == ()


def test_the_built_in_quartets_tune_goes_from_the_violin_to_the_cello() -> None:
    """Its own marks say so: the cello has `the tune` from the upbeat to bar 10 on, the violin
    had it from the first bar; nine notes are the same two octaves lower, read from both."""
    tune, answer, figure = handed_on(demo().texture)
    assert (tune.kind, route(tune), tune.notes) == ("taken up", [("P1", 1), ("P4", 9)], 9)
    assert tune.entries[1].semitones == -24
    assert (answer.kind, route(answer)) == ("imitation", [("P4", 9), ("P1", 10)])
    assert (figure.kind, route(figure)) == ("taken up", [("P1", 22), ("P3", 26)])


def notes_of(real: Real, part: str, bar: int) -> list[int]:
    return [sound.pitch or 0 for sound in real.texture.of(part).melody if sound.bar >= bar][:20]


def test_a_fugues_exposition_enters_viola_second_violin_cello_first_violin() -> None:
    """Fugal finale in C major: the subject of ten bars in the viola, answered at the fifth by
    the second violin, then cello and first violin (general knowledge, from memory)."""
    real = corpus("beethoven/opus59no3/movement4.mxl")
    exposition = handed_on(real.texture)[0]
    assert route(exposition) == [("P3", 1), ("P2", 11), ("P4", 21), ("P1", 31)]
    rises = [entry.semitones or 0 for entry in exposition.entries]
    assert [sum(rises[: n + 1]) for n in range(4)] == [0, 7, -12, 12]
    subject = notes_of(real, "P3", 1)
    for part, bar, rise in (("P2", 11, 7), ("P4", 21, -12), ("P1", 31, 12)):
        assert notes_of(real, part, bar) == [pitch + rise for pitch in subject]


def test_a_mass_written_in_canons() -> None:
    """The mass's title says it, `Ad fugam`: its movements are double canons; the second Agnus
    Dei adds a voice, a canon of three beside a canon of two (general knowledge, from memory)."""
    real = corpus("palestrina/Agnus_II_00.krn")
    names = [part.name for part in real.score.parts]
    canons = [one for one in handed_on(real.texture) if one.kind == "canon"]
    voices = [set(one.parts) for one in canons if one.first < 5]
    ids = {part.id for part in real.score.parts}
    assert len(names) == 5
    assert sorted(map(len, voices)) == [2, 3]
    assert set.union(*voices) == ids


def test_a_caccia_is_a_canon_of_its_upper_voices() -> None:
    """A fourteenth-century hunting piece: two voices in canon at the unison over a free tenor
    (general knowledge of the kind, from memory)."""
    real = corpus("trecento/PMFC_06_Giovanni-03-Chon_brachi_assai.xml")
    canon = max(handed_on(real.texture), key=lambda one: one.notes)
    assert canon.kind == "canon" and canon.notes > 100
    assert canon.parts == tuple(part.id for part in real.score.parts[:2])
    (strict,) = [one for one in followings(real.texture) if len(one.led) == canon.notes]
    pairs = list(zip(strict.led, strict.followed, strict=True))
    assert sum(1 for low, high in pairs if low.pitch == high.pitch) > 0.9 * len(pairs)


def test_a_sonatas_second_group_hands_a_figure_down_all_four_parts() -> None:
    """Bars 42–46 by ordinal: seven notes, two beats apart, from the first violin down to the
    cello, read from the page."""
    real = corpus("mozart/k458/movement1.mxl")
    down = next(one for one in handed_on(real.texture) if one.first == 42)
    assert (down.kind, down.notes) == ("cascade", 7)
    assert route(down) == [("P1", 42), ("P2", 43), ("P3", 44), ("P4", 45)]
    assert [entry.after for entry in down.entries[1:]] == [2, 2, 2]


@pytest.mark.parametrize("number", ["66.6", "244.10", "269", "347", "253"])
def test_plain_chorales_hand_nothing_on(number: str) -> None:
    """Four-part harmonisations, note against note (general knowledge, from memory)."""
    assert handed_on(corpus(f"bach/bwv{number}.mxl").texture) == ()


NOISE = st.lists(st.tuples(st.sampled_from([5, 7, 11, 13]), st.integers(40, 55)), max_size=60)


@settings(deadline=None)
@given(
    st.permutations("ABC"),
    st.integers(0, 5),
    st.sampled_from([BAR, BAR + 12]),
    st.lists(st.integers(-7, 7), min_size=3, max_size=3),
    NOISE,
)
def test_a_planted_cascade_is_recovered_exactly(
    order: list[str], start: int, apart: int, rises: list[int], noise: list[tuple[int, int]]
) -> None:
    """Three parts in any order, a fourth with note values of its own."""
    parts = {
        part: shifted(FIGURE, start * BAR + n * apart, rises[n]) for n, part in enumerate(order)
    }
    at = 0
    other: list[Given] = []
    for length, pitch in noise:
        other.append((at, length, pitch))
        at += length
    (found,) = handed_on(ensemble("4/4", **dict(sorted(parts.items())), D=other))
    assert (found.kind, found.notes) == ("cascade", 8)
    assert [entry.parts for entry in found.entries] == [(part,) for part in order]
    assert [entry.at for entry in found.entries] == [start * BAR + n * apart for n in range(3)]
    assert [entry.after for entry in found.entries[1:]] == [Fraction(apart, 12)] * 2
    steps = [rises[1] - rises[0], rises[2] - rises[1]]
    assert [entry.semitones for entry in found.entries[1:]] == steps
