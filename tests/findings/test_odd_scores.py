"""Every analysis of how parts work together bears scores that are hardly scores."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.findings.doublings import doublings, shared_rhythms
from companion.findings.entrances import entrances
from companion.findings.form import large_plan, returns
from companion.findings.handed_on import handed_on
from companion.findings.interlock import interlocks
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.texture import Texture, texture_of
from tests.findings.ensembles import Given, ensemble
from tests.score.written import score


def everything(texture: Texture) -> list[object]:
    found: list[object] = [*interlocks(texture), *handed_on(texture), *doublings(texture)]
    found += [*shared_rhythms(texture), *returns(texture)]
    found += large_plan(returns(texture), 1, len(texture.bars))
    for stream in texture.streams:
        found += entrances(texture, stream.part)
    return found


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
