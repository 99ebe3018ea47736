"""Slashes and tremolos as they sound.

Common practice, no source: n beams in all, flags counted, make 2**n strokes a quarter; three
beams shimmer. MusicXML 4.0, `tremolo`: the number is that of beams the note does not have
anyway; `single`, `start`, `stop`, `unmeasured`.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.abbreviations import written_out
from companion.score.model import Note

TICKS = 12


def slashed(length: int, sign: str, tuplet: tuple[int, int] | None = None, onset: int = 0) -> Note:
    return Note(onset, length, "C4", tuplet=tuplet, marks=(sign,))


def onsets(*notes: Note) -> list[int]:
    return [note.onset for note in written_out(notes, TICKS)]


@pytest.mark.parametrize(
    ("note", "strokes"),
    [
        (slashed(24, "tremolo-1"), 4),  # a half note with one slash: four eighths
        (slashed(24, "tremolo-2"), 8),
        (slashed(18, "tremolo-1"), 3),  # a dotted quarter with one slash: three eighths
        (slashed(6, "tremolo-1"), 2),  # an eighth with one slash: two sixteenths
        (slashed(8, "tremolo-1", (3, 2)), 2),  # a triplet quarter: two triplet eighths
        (slashed(24, "tremolo-3"), 1),
        (slashed(6, "tremolo-2"), 1),  # a flag and two slashes are three beams
        (slashed(24, "tremolo-unmeasured"), 1),
    ],
)
def test_slashes_are_the_repeated_notes_they_abbreviate(note: Note, strokes: int) -> None:
    sounding = written_out([note], TICKS)
    assert len(sounding) == strokes
    assert sum(one.length for one in sounding) == note.length
    assert len({one.length for one in sounding}) == 1


def test_three_beams_between_two_notes_are_one_sound_of_their_whole_length() -> None:
    one, other = slashed(12, "tremolo-start-3"), slashed(12, "tremolo-stop-3", onset=12)
    assert [(note.onset, note.length) for note in written_out([one, other], TICKS)] == [(0, 24)]


def test_one_beam_between_two_notes_alternates_them_in_eighths() -> None:
    one = Note(0, 12, "C4", marks=("tremolo-start-1",))
    other = Note(12, 12, "E4", marks=("tremolo-stop-1",))
    sounding = written_out([one, other], TICKS)
    assert [(note.onset, note.pitch) for note in sounding] == [
        *((0, "C4"), (6, "E4"), (12, "C4"), (18, "E4"))
    ]


def test_every_note_of_a_slashed_chord_is_repeated() -> None:
    low, high = slashed(12, "tremolo-1"), Note(0, 12, "G4", in_chord=True)
    assert onsets(low, high) == [0, 0, 6, 6]


def test_a_tremolo_ends_where_its_own_voice_ends_it() -> None:
    """In the other voice a slash stands between, and an end that nothing began."""
    one = Note(0, 12, "C4", marks=("tremolo-start-1",))
    slash = Note(0, 12, "G3", voice="2", marks=("tremolo-1",))
    other = Note(12, 12, "E4", marks=("tremolo-stop-1",))
    stray = Note(12, 12, "A3", voice="2", marks=("tremolo-stop-3",))
    heard = [(note.onset, note.pitch) for note in written_out([one, slash, other, stray], TICKS)]
    upper, lower = (
        [(at, pitch) for at, pitch in heard if pitch in pitches] for pitches in ("C4 E4", "G3 A3")
    )
    assert upper == [(0, "C4"), (6, "E4"), (12, "C4"), (18, "E4")]
    assert lower == [(0, "G3"), (6, "G3"), (12, "A3")]


def test_a_slash_while_a_tremolo_of_its_voice_is_open_stands_by_itself() -> None:
    one = Note(0, 12, "C4", marks=("tremolo-start-1",))
    slash = Note(12, 12, "D4", marks=("tremolo-1",))
    assert onsets(one, slash) == [0, 12, 18]


def test_a_tremolo_that_never_ends_is_left_as_written() -> None:
    assert written_out([slashed(24, "tremolo-start-1")], TICKS)[0].length == 24


@given(st.lists(st.sampled_from([3, 6, 8, 12, 18, 24, 48]), min_size=1, max_size=6), st.data())
def test_nothing_but_the_strokes_changes(lengths: list[int], data: st.DataObject) -> None:
    notes, at = [], 0
    for length in lengths:
        sign = data.draw(st.sampled_from(["", "tremolo-1", "tremolo-2", "tremolo-3"]))
        notes.append(Note(at, length, "C4", marks=(sign,) if sign else ()))
        at += length
    sounding = written_out(notes, TICKS)
    assert [note.onset for note in sounding] == sorted(note.onset for note in sounding)
    assert sum(note.length for note in sounding) == at
    assert {note.onset for note in notes} <= {note.onset for note in sounding}
