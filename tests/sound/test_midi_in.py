"""A MIDI pad: strokes with the moment at which they came in, from a port made of paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import mido
import pytest

from companion.errors import CompanionError
from companion.sound.midi_in import Pad, PadPort, pad_named, pads
from tests.session.small_scores import Hand


class PaperPort:
    def __init__(self) -> None:
        self.is_open = True
        self.came: Callable[[Any], None] = lambda _: None

    def __call__(self, came: Callable[[Any], None]) -> PadPort:
        self.came = came
        return self

    def close(self) -> None:
        self.is_open = False


def test_strokes_carry_their_moment_and_nothing_else_counts() -> None:
    port, hand = PaperPort(), Hand()
    pad = Pad(port, hand)
    for seconds, message in (
        (0.5, mido.Message("note_on", note=36, velocity=90)),
        (0.1, mido.Message("note_off", note=36)),
        (0.2, mido.Message("note_on", note=38, velocity=0)),
        (0.2, mido.Message("clock")),
        (0.5, mido.Message("note_on", note=38, velocity=1)),
    ):
        hand.push(seconds)
        port.came(message)
    assert pad.strokes == [(0.5, 36), (1.5, 38)]
    pad.close()
    assert not port.is_open


def test_a_pad_that_is_not_there_is_told() -> None:
    mido.set_backend("no_such_backend")
    try:
        assert pads() == []
        with pytest.raises(CompanionError, match="does not open"):
            Pad(pad_named("Pad"))
    finally:
        mido.set_backend()
