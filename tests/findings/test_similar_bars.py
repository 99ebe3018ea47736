"""What makes two bars the same, part by part."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.findings.similar_bars import SILENT, bar_contents
from companion.rhythm.meter import parse
from companion.score.texture import BarSpan, PartStream, Texture
from tests.findings.ensembles import ensemble, line

PITCHES = st.lists(st.sampled_from([0, 60, 62]), min_size=4, max_size=4)


@given(st.lists(PITCHES, min_size=2, max_size=8))
def test_bars_have_one_shape_exactly_where_their_notes_are_the_same(rows: list[list[int]]) -> None:
    """The slow way: rhythm and steps from the first note written out side by side."""
    words = " ".join(f"q{pitch}" if pitch else "rq" for row in rows for pitch in row)
    bars = bar_contents(ensemble("4/4", V=line(words), P=[(len(rows) * 48 - 1, 1, 40)]))

    def steps(row: list[int]) -> list[tuple[int, int]]:
        sounding = [(beat, pitch) for beat, pitch in enumerate(row) if pitch]
        return [(beat, pitch - sounding[0][1]) for beat, pitch in sounding]

    for a, one in enumerate(rows):
        assert (bars.shapes[0][a] == SILENT) == (not any(one))
        for b, other in enumerate(rows):
            assert (bars.shapes[0][a] == bars.shapes[0][b]) == (steps(one) == steps(other))


def test_a_transposed_bar_rises_by_what_it_is_transposed() -> None:
    bars = bar_contents(ensemble("2/4", V=line("q60 q64 | q65 q69"), C=line("h48 | h48")))
    assert bars.rises(0, 1) == [5, 0]
    assert not bars.differs(0, 0, 1, 5)
    assert bars.differs(1, 0, 1, 5)


def test_a_note_held_over_the_barline_is_not_the_same_as_one_struck_there() -> None:
    bars = bar_contents(ensemble("2/4", V=line("rq q60 | h60 | rq h.60")))
    assert bars.shapes[0][0] == bars.shapes[0][2]
    assert bars.shapes[0][1] != bars.shapes[0][3]


def test_parts_silent_in_both_bars_say_nothing() -> None:
    bars = bar_contents(ensemble("2/4", V=line("h60 rh h60"), C=[]))
    assert (bars.rises(0, 2), bars.rises(0, 1), bars.is_silent(1)) == ([0], [None], True)


def test_the_same_notes_at_another_pace_of_the_clock_are_the_same_bar() -> None:
    """6/8, then 2/4 whose quarter lasts as long as the dotted one, and 6/8 twice as slow."""
    meters = parse("6/8"), parse("2/4"), parse("6/8")
    spans = BarSpan(1, 0, 36, 0), BarSpan(2, 36, 36, 0), BarSpan(3, 72, 72, 0)
    slow = [(72 + 2 * at, 2 * length, pitch) for at, length, pitch in line("q60 e62 q.64")]
    given_notes = line("q60 e62 q.64 q.60 q.62") + slow
    streams = ensemble("4/4", V=given_notes).streams
    sounds = tuple(
        replace(sound, bar=number)
        for sound, number in zip(streams[0].sounds, (1, 1, 1, 2, 2, 3, 3, 3), strict=True)
    )
    stream = replace(streams[0], sounds=sounds, meters=meters, own_bars=spans, own_meters=meters)
    bars = bar_contents(Texture((stream,), spans, Fraction(1, 12)))
    assert isinstance(stream, PartStream)
    assert bars.shapes[0][0] == bars.shapes[0][2] != bars.shapes[0][1]


def test_a_drum_has_rhythm_and_no_height() -> None:
    (stream,) = ensemble("2/4", D=line("q60 q62 | q62 q60")).streams
    drum = replace(stream, sounds=tuple(replace(sound, pitch=None) for sound in stream.sounds))
    bars = bar_contents(Texture((drum,), stream.own_bars, Fraction(1, 12)))
    assert bars.shapes[0][0] == bars.shapes[0][1]
    assert bars.heights[0] == (None, None)
    assert bars.rises(0, 1) == [0]


def test_strokes_without_pitch_are_not_a_note_repeated_in_the_same_rhythm() -> None:
    (stream,) = ensemble("2/4", V=line("q60 q60 | q60 q60")).streams
    tapped = (*(replace(s, pitch=None) for s in stream.sounds[:2]), *stream.sounds[2:])
    music = Texture((replace(stream, sounds=tapped),), stream.own_bars, Fraction(1, 12))
    bars = bar_contents(music)
    assert bars.rises(0, 1) == [None]
    assert bars.differs(0, 0, 1, 0) and not bars.differs(0, 0, 0, 0)
