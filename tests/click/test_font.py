"""The others through a SoundFont: in tune, on the instrument the page names, cut anywhere."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import Layer
from companion.click.plan.plan import planned
from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.click.synth.ensemble import BUDGET, Ensemble, seats
from companion.click.synth.others_notes import others_notes
from companion.click.synth.render import LiveClick
from companion.click.synth.soundfont import PIZZICATO, STRINGS, Font, instruments
from companion.click.synth.tuning import hertz
from companion.errors import RequestError
from companion.score.passage import Passage
from tests.click.hearing import pitch_of, true_peak
from tests.click.playing import playing
from tests.click.soundfont import soundfont

pytest.importorskip("tinysoundfont")

RATE = 48000
CELLO = 43
"""General MIDI 1: program 43 from 1."""
HELD = playing("Violin: A4 2", "Cello: E3 2")


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("fonts") / "sines.sf2"
    return soundfont(place, {STRINGS - 1: 0, CELLO - 1: 12, PIZZICATO - 1: 7})


def along(
    font: Font, passage: Passage = HELD, programs: tuple[int, ...] = (0, 0), bpm: int = 60
) -> Ensemble:
    plan = planned(passage, (), ClickSettings(Fixed(Fraction(bpm)), (Layer.BEAT,), 0))
    parts = tuple(range(1, len(passage.clock.score.parts)))
    return Ensemble(
        others_notes(passage, parts), LiveClick(plan, RATE), instruments=instruments(font, programs)
    )


def off(heard: Ensemble, wanted: float) -> float:
    """Cents between what is heard in the second second and what should be."""
    wave = heard.read(0, 2 * RATE)[4800:-4800, 0].astype(float)
    return 1200 * math.log2(pitch_of(wave, RATE) / wanted)


@pytest.mark.parametrize("a", [415.0, 440.0, 442.0])
def test_a_font_is_tuned_to_the_a_that_was_given(file: Path, a: float) -> None:
    assert abs(off(along(Font(file, RATE, a)), hertz(52, a))) < 1


def test_each_part_plays_on_the_instrument_it_names(file: Path) -> None:
    font = Font(file, RATE)
    assert abs(off(along(font, programs=(0, CELLO)), hertz(64, 440.0))) < 1


def test_an_instrument_the_font_lacks_is_played_by_its_first(tmp_path: Path) -> None:
    font = Font(soundfont(tmp_path / "one.sf2", {3: 0}), RATE)
    assert abs(off(along(font, programs=(0, CELLO)), hertz(52, 440.0))) < 1


def test_pieces_give_the_same_sound_as_the_whole(file: Path) -> None:
    moving = playing("Violin: A4 2", "Viola: E4 2/3, F4 2/3, G4 2/3", "Cello: A2 1/2, B2 1/2, C3 1")
    heard = along(Font(file, RATE), moving, (0, 0, CELLO), 80)
    whole = heard.read(30_000, 9000)
    pieces = [heard.read(at, 1000) for at in range(30_000, 39_000, 1000)]
    assert whole.any()
    assert np.array_equal(whole, np.concatenate(pieces))
    assert np.array_equal(whole, heard.read(30_000, 9000))


def test_however_many_play_there_is_room_for_the_click(file: Path) -> None:
    chord = [f"P: {pitch} 2 accent" for pitch in ("C3", "E3", "G3", "C4", "E4", "G4", "C5", "E5")]
    heard = along(Font(file, RATE), playing("Me: A4 2", *chord), (0,) * 9)
    assert true_peak(heard.read(0, 96000)) <= 20 * math.log10(BUDGET) + 0.1
    assert seats(9)[8] == 0.5


def test_a_slower_tempo_finds_longer_notes(file: Path) -> None:
    font = Font(file, RATE)
    assert along(font, bpm=120).read(0, RATE)[-9600:-4800].any()
    assert along(font, bpm=20).read(0, 6 * RATE)[-9600:-4800].any()


def test_a_slow_time_through_is_filled_however_fast_the_first_is(file: Path) -> None:
    # A bar of 2/4 at 120 lasts a second, at 20 six.
    turns = Ladder(Fraction(120), Fraction(20), Fraction(100), each=1)
    plan = planned(HELD, (), ClickSettings(turns, (Layer.BEAT,), 0))
    heard = Ensemble(
        others_notes(HELD, (1,)),
        LiveClick(plan, RATE),
        instruments=instruments(Font(file, RATE), (0, 0)),
    )
    assert heard.read(RATE, 6 * RATE)[-9600:-4800].any()


def test_what_cannot_serve_is_told(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match="no such file"):
        Font(tmp_path / "nowhere.sf2", RATE)
    letter = tmp_path / "letter.sf2"
    letter.write_text("Dear colleague,")
    with pytest.raises(RequestError, match="not a SoundFont that can be read"):
        Font(letter, RATE)
    mad = tmp_path / "mad.sf2"
    content = bytearray(soundfont(tmp_path / "sane.sf2", {48: 0, 42: 12, 45: 7}).read_bytes())
    # A preset whose generators lie far outside the file: reading it ends a process.
    content[content.index(b"pbag") + 8 + 4] = 0xFF
    mad.write_bytes(content)
    with pytest.raises(RequestError, match="not a SoundFont that can be read"):
        Font(mad, RATE)
    with pytest.raises(RequestError, match="no melodic instruments"):
        Font(soundfont(tmp_path / "empty.sf2", {}), RATE)
