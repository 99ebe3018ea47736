"""Every analysis of how parts work together bears scores that are hardly scores."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.findings.conflicts import conflicts_of
from companion.findings.doublings import doublings, shared_rhythms
from companion.findings.entrances import entrances
from companion.findings.form import large_plan, returns
from companion.findings.handed_on import handed_on
from companion.findings.interlock import interlocks
from companion.findings.periods import periods
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.texture import Texture, texture_of
from tests.findings.ensembles import Given, ensemble
from tests.score.written import score, score_of


def everything(texture: Texture) -> list[object]:
    found: list[object] = [*interlocks(texture), *handed_on(texture), *doublings(texture)]
    found += [*shared_rhythms(texture), *returns(texture)]
    found += large_plan(returns(texture), 1, len(texture.bars))
    for stream in texture.streams:
        found += entrances(texture, stream.part)
    return found


def test_nothing_goes_on_across_the_end_of_a_movement() -> None:
    """The printed numbers begin again after three bars; a rest is counted from there."""
    numbers = ["1", "2", "3"] * 2
    six = "e3 e3 e3 e3 e3 e3"
    after, before = "re e re e", "e re e re"
    lines = {
        "A": f"2/4 {six} | {six} | {six} | {six} | {six} | {six}",
        "B": "2/4 e e e e | e e e e | e e e e | e e e e | e e e e | e e e e",
        "C": f"2/4 {before} | {before} | {before} | {before} | {before} | {before}",
        "D": f"2/4 {after} | {after} | {after} | {after} | {after} | {after}",
        "E": "2/4 h | - | - | - | - | h",
    }
    clock = lay(score_of(lines, labels=numbers))
    texture = texture_of(clock)
    spans = [(one.first, one.last) for one in conflicts_of(clock)]
    spans += [(one.first, one.last) for one in periods(texture, ())]
    spans += [(one.first, one.last) for one in interlocks(texture)]
    assert {(1, 3), (4, 6)} <= set(spans) and all(last < 4 or first > 3 for first, last in spans)
    (entrance,) = entrances(texture, "P5")
    assert (entrance.bar, entrance.bars) == (6, 2) and entrance.beats == 4
    twice = lay(score(labels=numbers, A=lines["B"], B=lines["B"]))
    assert [(one.first, one.last) for one in shared_rhythms(texture_of(twice))] == [(1, 3), (4, 6)]


ODD = {
    "one part": score(V="4/4 q q q q | h h"),
    "silence": score(V="4/4 - | - | -", C="4/4 - | - | -"),
    "no meter": score(V="free q q q q q q | free h", C="free q e e q q | free h"),
    "a bar without length": score(V="free - | 4/4 q q q q", C="free - | 4/4 - "),
    "own barlines": score(free=frozenset({"C"}), V="3/4 q q q | q q q", C="2/4 q q | q q | q q"),
    "a part that stops": score(V="6/8 e e e q. | q. q. | q. q.", C="2/4 q q"),
    "a pickup": score(V="3/4 q | q q q | h", C="3/4 rq | rq q q | h"),
}


@pytest.mark.parametrize("written", ODD.values(), ids=ODD.keys())
def test_odd_scores_say_little_and_fail_at_nothing(written: Score) -> None:
    assert len(everything(texture_of(lay(written)))) < 4


def test_no_parts_at_all() -> None:
    texture = ensemble("4/4", V=[])
    assert everything(replace(texture, streams=())) == []


SOUNDS = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 60), st.integers(40, 80)), max_size=30
)


@settings(deadline=None)
@given(SOUNDS, SOUNDS, SOUNDS, st.booleans())
def test_chords_overlaps_and_drums_are_borne(
    one: list[Given], other: list[Given], third: list[Given], is_pitched: bool
) -> None:
    texture = ensemble("4/4", A=one, B=other, C=third)
    if not is_pitched:
        streams = [
            replace(stream, sounds=tuple(replace(sound, pitch=None) for sound in stream.sounds))
            for stream in texture.streams
        ]
        texture = replace(texture, streams=tuple(streams))
    first = everything(texture)
    assert first == everything(replace(texture))
