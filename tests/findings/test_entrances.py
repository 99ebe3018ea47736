"""Entrances after long rests. Counting rests in one's own meter: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.entrances import entrances
from companion.score.laying import lay
from companion.score.model import Part
from companion.score.texture import texture_of
from tests.findings.ensembles import Given, ensemble, line, mixed
from tests.findings.real_scores import corpus, demo
from tests.score.written import score


def test_an_entrance_on_anothers_line_counted_in_both_meters() -> None:
    texture = mixed(
        {"V": "6/8", "C": "3/4"},
        {
            "V": line("q.60 q.60") + line("e72", start=138),
            "C": line("h.48 | h.46 | h.47 | q48 q50 e52 e53"),
        },
    )
    (found,) = entrances(texture, "V")
    assert (found.bar, found.bars) == (4, 2)
    assert (found.beat, found.beats) == (Fraction(8, 3), Fraction(17, 3))
    assert [(count.parts, count.beats) for count in found.theirs] == [(("C",), Fraction(17, 2))]
    assert found.cue is not None
    assert (found.cue.part, str(found.cue.meter), found.cue.before) == ("C", "3/4", Fraction(1, 3))
    assert [note.pitch for note in found.cue.notes] == [47, 48, 50, 52]
    assert found.along == ("C",)


def test_the_cue_is_whoever_strikes_last_and_of_several_the_busiest() -> None:
    texture = ensemble(
        "4/4",
        V=line("rw rw q72"),
        C=line("w48 | h48 h50 | w48"),
        W=line("w60 | q60 q62 q64 q65 | w64"),
        X=line("w60 | h. 60 q64".replace(". ", ".")),
    )
    (found,) = entrances(texture, "V")
    assert found.cue is not None
    assert (found.cue.part, found.cue.before) == ("W", Fraction(1))
    assert (found.since, found.bars) == (0, 2)
    assert found.beats == 8 and not found.theirs


def test_of_two_that_lead_in_alike_the_upper_one_is_the_cue() -> None:
    texture = ensemble("4/4", V=line("rw rw q72"), C=line("w48 | h48 h50"), W=line("w60 | h60 h62"))
    (found,) = entrances(texture, "V")
    assert found.cue is not None and found.cue.part == "C"
    assert found.along == ()


def test_a_bar_split_by_a_repeat_has_the_beats_of_its_meter() -> None:
    music = score(
        V="3/4 rh. | rh. | rh | q | h.",
        C="3/4 h. | h. | q. e | q | h.",
        W="3/4 h. | h. | e e e e | q | h.",
    )
    (found,) = entrances(texture_of(lay(music)), "P1")
    assert found.bar == 4 and found.beat == 3
    assert found.cue is not None and found.cue.part == "P3"


def test_only_strikes_of_the_last_two_beats_make_a_part_the_busiest() -> None:
    texture = ensemble(
        "4/4", V=line("rw rw q72"), C=line("w48 | e48 e50 h52 q48"), W=line("w60 | h60 q62 q64")
    )
    (found,) = entrances(texture, "V")
    assert found.cue is not None and found.cue.part == "W"


def test_an_unmeasured_entrance_is_on_no_beat() -> None:
    music = score(V="free rw | rw | q q q q", C="free q q q q | h h | w")
    (found,) = entrances(texture_of(lay(music)), "P1")
    assert (found.bar, found.bars) == (3, 2) and found.beat == found.beats == 0
    assert found.cue is not None
    assert found.cue.part == "P2" and found.cue.meter is None and found.cue.before == 0
    assert len(found.cue.notes) == 4


def test_nobody_leads_in_after_a_general_rest() -> None:
    (found,) = entrances(ensemble("2/4", V=line("rh rh q60"), C=line("rh rh q48")), "V")
    assert found.cue is None
    assert (found.bars, found.along) == (2, ("C",)) and found.beats == 4


def test_a_rest_of_less_than_two_bars_is_no_long_rest() -> None:
    texture = ensemble("2/4", V=line("q60 rq | rh | e60 e60 q60"), C=line("h48 h48 h48"))
    assert entrances(texture, "V") == ()


def test_a_part_that_is_not_there_is_an_error() -> None:
    with pytest.raises(KeyError):
        entrances(ensemble("2/4", V=line("h60")), "X")


def test_the_built_in_quartets_viola_never_rests_that_long() -> None:
    """Read from its notes; the first violin rests for the first four bars of the slow section."""
    assert entrances(demo().texture, "P3") == ()
    (found,) = entrances(demo().texture, "P1")
    assert (found.bar, found.bars, found.beats) == (40, 4, Fraction(12))


def empty_bars(part: Part) -> list[int]:
    return [
        number
        for number, bar in enumerate(part.bars, 1)
        if all(note.is_rest or note.is_cue for note in bar.notes)
    ]


@pytest.mark.parametrize("part", ["P1", "P2", "P3", "P4"])
def test_every_entrance_of_a_real_part_follows_empty_bars_of_its_page(part: str) -> None:
    """Two or more bars without a note on the page lead to an entrance and nothing else does,
    but for rests that begin or end inside a bar."""
    real = corpus("beethoven/opus18no1/movement1.mxl")
    written = next(p for p in real.score.parts if p.id == part)
    empty = set(empty_bars(written))
    found = entrances(real.texture, part)
    for one in found:
        before = list(range(one.bar - one.bars, one.bar))
        assert set(before) <= empty and one.bar not in empty
    entered = {one.bar for one in found}
    for bar in range(3, len(written.bars) + 1):
        if {bar - 2, bar - 1} <= empty and bar not in empty:
            assert bar in entered


NOTES = st.lists(st.tuples(st.booleans(), st.integers(1, 40)), max_size=12)


@given(NOTES)
def test_long_rests_are_those_of_two_bars_counted_grain_by_grain(
    notes: list[tuple[bool, int]],
) -> None:
    at = 0
    given_notes: list[Given] = []
    for sounds, length in notes:
        if sounds:
            given_notes.append((at, length, 60))
        at += length
    sounding = {grain for at, length, _ in given_notes for grain in range(at, at + length)}
    expected = [
        at for at, _, _ in given_notes if at >= 48 and not sounding & set(range(at - 48, at))
    ]
    found = entrances(ensemble("2/4", V=given_notes, C=line("h48")), "V")
    assert [one.at for one in found] == expected
