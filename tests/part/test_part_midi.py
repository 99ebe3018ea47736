"""A part as MIDI, read back by other libraries and as bytes.

Standard MIDI file 1.0: `FF 58 04 06 03 24 08` is the specification's own example for 6/8;
`FF 51 03` holds microseconds a quarter. Middle C (C4) is key 60 (General MIDI).
"""

from fractions import Fraction
from io import BytesIO
from itertools import accumulate

import mido
import pretty_midi
import pytest
from music21 import converter

from companion.click.export.part_midi import midi_of
from companion.errors import RequestError
from companion.files.folders import demo_score
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.tempo_map import tempo_map
from tests.part.pages import page


def laid(musicxml: bytes) -> Clock:
    return lay(read_musicxml(musicxml, "score"))


def notes(clock: Clock, part: int) -> list[tuple[float, float, int]]:
    """(start, length in quarters, key) as another library reads them."""
    read = mido.MidiFile(file=BytesIO(midi_of(clock, part)))
    found: list[tuple[float, float, int]] = []
    sounding: dict[int, int] = {}
    now = 0
    for message in read.tracks[1]:
        now += message.time
        if message.type == "note_on":
            sounding[message.note] = now
        elif message.type == "note_off":
            start = sounding.pop(message.note)
            unit = read.ticks_per_beat
            found.append((start / unit, (now - start) / unit, message.note))
    return sorted(found)


def test_notes_stand_on_the_parts_own_written_quarters() -> None:
    clock = laid(page(Flute="6/8 A4q. A4q. | A4h.", Horn="2/4 C4q D4q | E4h"))
    assert notes(clock, 0) == [(0, 1.5, 69), (1.5, 1.5, 69), (3, 3, 69)]
    assert notes(clock, 1) == [(0, 1, 60), (1, 1, 62), (2, 2, 64)]


def test_tied_notes_are_one_and_rests_and_graces_are_none() -> None:
    clock = laid(page(Flute="4/4 A4h rq A4q~ | ~A4h gB4e C5h"))
    assert notes(clock, 0) == [(0, 2, 69), (3, 3, 69), (6, 2, 72)]


def test_a_clarinet_in_b_flat_sounds_a_tone_lower_than_it_reads() -> None:
    clock = laid(page(Clarinet="4/4 [key 2] [transpose -1 -2] D5w"))
    assert notes(clock, 0) == [(0, 4, 72)]
    read = mido.MidiFile(file=BytesIO(midi_of(clock, 0)))
    assert [m.key for m in read.tracks[0] if m.type == "key_signature"] == ["C"]


def test_six_eight_is_written_as_the_specification_writes_it() -> None:
    data = midi_of(laid(page(Flute="6/8 A4h.")), 0)
    assert bytes.fromhex("FF 58 04 06 03 24 08") in data


def test_both_meters_last_equally_long() -> None:
    """At dotted quarter = 80 a quarter of 6/8 lasts half a second, one of 2/4 three quarters:
    500,000 and 750,000 microseconds, `07 A1 20` and `0B 71 B0`."""
    clock = laid(page(Flute="6/8 [metro q. 80] A4h.", Horn="2/4 C4h"))
    assert bytes.fromhex("FF 51 03 07 A1 20") in midi_of(clock, 0)
    assert bytes.fromhex("FF 51 03 0B 71 B0") in midi_of(clock, 1)


@pytest.mark.parametrize("part", range(4))
def test_every_note_of_the_built_in_quartet_starts_when_the_clock_says(part: int) -> None:
    clock = laid(demo_score().read_bytes())
    tempos = tempo_map(clock)
    expected = sorted(
        float(tempos.seconds_at(clock.onset(part, number, note)))
        for number, bar in enumerate(clock.score.parts[part].bars)
        for note in bar.notes
        if note.is_struck
    )
    read = pretty_midi.PrettyMIDI(BytesIO(midi_of(clock, part)))
    (instrument,) = read.instruments
    starts = sorted(note.start for note in instrument.notes)
    assert starts == pytest.approx(expected, abs=0.002)


def test_a_pickup_is_a_bar_of_its_own_length() -> None:
    source = page(Flute="6/8 A4e | A4h. | A4h.").replace(
        b'number="1"', b'number="0" implicit="yes"'
    )
    read = mido.MidiFile(file=BytesIO(midi_of(laid(source), 0)))
    now, stated = 0, []
    for message in read.tracks[0]:
        now += message.time
        if message.type == "time_signature":
            meter = message.numerator, message.denominator, message.clocks_per_click
            stated.append((Fraction(now, read.ticks_per_beat), meter))
    assert stated == [(0, (1, 8, 12)), (Fraction(1, 2), (6, 8, 36))]


@pytest.mark.parametrize("part", range(4))
def test_the_bars_of_a_part_are_its_bars_when_another_library_reads_them(part: int) -> None:
    clock = laid(demo_score().read_bytes())
    measures = converter.parseData(midi_of(clock, part), format="midi").parts[0]
    starts = [measure.offset for measure in measures.getElementsByClass("Measure")]
    lengths = [place.length / place.pace for place in clock.places[part]]
    assert starts == pytest.approx([float(at) for at in accumulate(lengths[:-1], initial=0)])


def test_the_file_says_whose_meters_it_has() -> None:
    read = mido.MidiFile(file=BytesIO(midi_of(laid(page(Flute="6/8 A4h.", Horn="2/4 C4h")), 1)))
    assert "Horn" in next(m.text for m in read.tracks[0] if m.type == "text")


def test_a_tempo_slower_than_a_midi_file_can_say_is_refused() -> None:
    clock = laid(page(Flute="4/4 [sound 2] A4w"))
    with pytest.raises(RequestError, match="does not fit into a MIDI file"):
        midi_of(clock, 0)
