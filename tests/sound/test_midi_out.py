"""The click on a drum module: what is sent, and when, through mido's own ports."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import mido
import pytest

from companion.sound.midi_out import LONGEST_NAP, Heard, MidiOut, MidiStroke, open_port, port_names
from companion.sound.sound_error import SoundError
from tests.sound.paper_midi import BUSY, NAME, Output

RATE = 48000
BLOCK, STICK = 76, 75


@dataclass(frozen=True)
class Written:
    """Strokes written down by frame."""

    blows: tuple[MidiStroke, ...]
    rate: int = RATE

    def between(self, first: int, last: int) -> Sequence[MidiStroke]:
        return [blow for blow in self.blows if first <= blow.frame < last]


def strokes(*frames: int, key: int = BLOCK) -> Written:
    return Written(tuple(MidiStroke(frame, key, 80) for frame in frames))


class Hall:
    """A port on paper, a clock moved by hand, and a music that goes with it."""

    def __init__(self) -> None:
        self.now = 0.0
        self.roll: Written | None = None
        self.began = 0.0
        self.first = 0
        port = open_port(NAME)
        assert isinstance(port, Output)
        self.port = port
        self.out = MidiOut(port, self.heard, lambda: self.now)

    def heard(self) -> Heard | None:
        if self.roll is None:
            return None
        return self.roll, self.first + round((self.now - self.began) * RATE)

    def play(self, roll: Written | None, at: int = 0) -> None:
        self.roll, self.began, self.first = roll, self.now, at

    def go(self, seconds: float, step: float = 0.004) -> None:
        until = self.now + seconds
        while self.now < until:
            self.now = min(until, self.now + step)
            self.out.look()

    def struck(self) -> list[str]:
        return [told for told in self.port.told() if told.startswith("note_on")]


@pytest.fixture
def hall() -> Iterator[Hall]:
    mido.set_backend("tests.sound.paper_midi")
    Output.opened.clear()
    hall = Hall()
    yield hall
    hall.out.close()
    mido.set_backend()


def test_ports_are_found_and_opened_by_name(hall: Hall) -> None:
    assert port_names() == [BUSY, NAME]
    assert hall.port.name == NAME


def test_a_port_that_is_not_there_is_named(hall: Hall) -> None:
    with pytest.raises(SoundError) as refused:
        open_port("Attic")
    assert refused.value.sentence() == (f"There is no MIDI port 'Attic'. Found: {BUSY}, {NAME}.")


def test_a_port_that_is_taken_says_so(hall: Hall) -> None:
    with pytest.raises(SoundError, match="the port is taken"):
        open_port(BUSY)


def test_without_midi_there_are_no_ports_and_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    mido.set_backend("no_such_backend")
    try:
        assert port_names() == []
        with pytest.raises(SoundError, match="install python-rtmidi first"):
            open_port(NAME)
    finally:
        mido.set_backend()


def test_every_stroke_is_sent_once_on_channel_ten(hall: Hall) -> None:
    hall.play(strokes(0, 12000, 18000, 24000))
    hall.go(1)
    assert hall.struck() == [f"note_on {BLOCK}"] * 4
    assert {m.channel for m in hall.port.sent if m.type == "note_on"} == {9}


def test_every_note_is_let_go(hall: Hall) -> None:
    hall.play(strokes(0, 12000))
    hall.go(0.5)
    assert sum(m.type == "note_off" for m in hall.port.sent) == 2


def test_a_stroke_is_sent_when_it_is_heard_and_not_before(hall: Hall) -> None:
    hall.play(strokes(12000))
    hall.go(0.249)
    assert hall.struck() == []
    hall.go(0.005)
    assert hall.struck() == [f"note_on {BLOCK}"]


def test_the_next_look_is_due_with_the_next_stroke(hall: Hall) -> None:
    hall.play(strokes(240, 48000))
    assert hall.out.look() == pytest.approx(240 / RATE)
    hall.now += 0.006
    assert hall.out.look() == LONGEST_NAP


def test_a_pause_sends_nothing_and_goes_on_where_it_was(hall: Hall) -> None:
    roll = strokes(4800, 14400)
    hall.play(roll)
    hall.go(0.2)
    hall.play(None)
    hall.go(5)
    assert len(hall.struck()) == 1
    hall.play(roll, at=9600)
    hall.go(0.2)
    assert len(hall.struck()) == 2
    marks = [told for told in hall.port.told() if not told.startswith("note")]
    assert marks == ["start", "stop", "continue"]


def test_a_jump_forward_sends_nothing_that_was_skipped(hall: Hall) -> None:
    roll = strokes(*range(4800, 96000, 4800))
    hall.play(roll)
    hall.go(0.05)
    hall.play(roll, at=90000)
    hall.go(0.05)
    assert len(hall.struck()) == 1


def test_another_tempo_loses_no_stroke_and_sends_none_twice(hall: Hall) -> None:
    # From 60 to 120 in the middle of the music: a stroke every 0.1 s, then every 0.05 s.
    slow, fast = strokes(*range(0, 96000, 4800)), strokes(*range(0, 48000, 2400))
    hall.play(slow)
    hall.go(0.45)
    hall.play(fast, at=round(0.45 * RATE / 2))
    hall.go(0.5)
    heard_slow, heard_fast = 5, 10
    assert len(hall.struck()) == heard_slow + heard_fast


def test_ticks_of_the_midi_clock_have_no_note(hall: Hall) -> None:
    hall.play(Written(tuple(MidiStroke(1000 * n, None) for n in range(24))))
    hall.go(0.6)
    assert hall.port.told().count("clock") == 24
    assert hall.struck() == []


def test_a_port_that_goes_away_is_told_and_nothing_else_stops(hall: Hall) -> None:
    hall.play(strokes(0, 4800))
    hall.port.is_gone = True
    hall.go(0.2)
    assert hall.out.failure == ("The MIDI port no longer answers: the cable was pulled (OSError).")


def test_closing_lets_go_of_notes_port_and_thread(hall: Hall) -> None:
    before = threading.active_count()
    hall.play(strokes(0))
    hall.out.begin()
    while not hall.struck():
        hall.out._done.wait(0.001)
    hall.out.close()
    hall.out.close()
    assert threading.active_count() == before
    assert hall.port.closed
    assert f"note_off {BLOCK}" in hall.port.told()
