"""The click of a drill on a drum module: the strokes the sound card has, at the same frames."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import mido
import pytest

from companion.click.plan.plan import timed_strokes
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.drum_module import TrackRoll, drums_for
from companion.session.track import Track
from companion.sound.device_choice import SoundChoice
from tests.session.small_scores import RATE, Hand, drill_of, folders_in, three_against_two
from tests.sound.paper_midi import NAME, Output

BAR = 2 * RATE
BLOCK, STICK, SKIN = 76, 75, 77
"""Keys of the General MIDI 1 percussion map: 75 claves, 76 high and 77 low wood block (from
memory)."""


@pytest.fixture
def hand() -> Hand:
    return Hand()


@pytest.fixture
def drill(tmp_path: Path, hand: Hand) -> Drill:
    """Two bars of 3 against 2 at 60, counted in for one bar."""
    return drill_of(three_against_two(), folders_in(tmp_path), hand)


@pytest.fixture(autouse=True)
def on_paper() -> Iterator[None]:
    mido.set_backend("tests.sound.paper_midi")
    Output.opened.clear()
    yield
    mido.set_backend()


def roll(drill: Drill, *, with_clock: bool = False) -> tuple[Track, TrackRoll]:
    track = drill.render()
    return track, TrackRoll(track, drill.passage, with_clock=with_clock)


def test_it_strikes_where_the_click_does(drill: Drill) -> None:
    track, drums = roll(drill)
    struck = [(stroke.frame, stroke.key) for stroke in drums.between(0, 3 * BAR)]
    wanted = [
        stroke.frame for stroke in timed_strokes(track.plan, RATE, 0, 3 * BAR, is_endless=True)
    ]
    assert [frame for frame, _ in struck] == wanted
    # 3 against 2 at 60: thirds of 48,000 frames on one key, halves on another.
    assert [frame - BAR for frame, key in struck if key == STICK][:3] == [0, 16000, 32000]
    assert [frame - BAR for frame, key in struck if key == SKIN][:2] == [0, 24000]


def test_any_stretch_of_it_is_part_of_the_whole(drill: Drill) -> None:
    _, drums = roll(drill, with_clock=True)
    whole = drums.between(0, 4 * BAR)
    pieces = [stroke for at in range(0, 4 * BAR, 777) for stroke in drums.between(at, at + 777)]
    assert [stroke for stroke in pieces if stroke.frame < 4 * BAR] == whole


def test_the_first_of_a_bar_is_struck_harder(drill: Drill) -> None:
    _, drums = roll(drill)
    beats = [stroke.velocity for stroke in drums.between(0, BAR) if stroke.key == BLOCK]
    assert beats[0] > beats[1]


def test_a_silent_bar_is_silent_here_too(drill: Drill) -> None:
    drill.request(setting_changes.with_silences(drill.setting, "every 2"))
    _, drums = roll(drill)
    assert drums.between(BAR, 2 * BAR)
    assert drums.between(2 * BAR, 3 * BAR) == []


def test_the_midi_clock_ticks_24_times_to_the_quarter_of_my_part(drill: Drill) -> None:
    # A bar of 6/8 is three quarters: 72 ticks in two seconds at dotted quarter = 60.
    _, drums = roll(drill, with_clock=True)
    ticks = [stroke.frame for stroke in drums.between(0, 3 * BAR) if stroke.key is None]
    exact = [round(Fraction(BAR, 72) * k) for k in range(3 * 72)]
    assert ticks == exact


def test_an_entry_counts_in_and_goes_on_from_its_bar(drill: Drill) -> None:
    drill.seek(1)
    _, drums = roll(drill)
    struck = drums.between(0, 2 * BAR)
    assert {stroke.key for stroke in struck if stroke.frame < BAR} == {BLOCK}
    entered = [stroke.frame for stroke in struck if stroke.key == STICK]
    assert entered[:3] == [BAR, BAR + 16000, BAR + 32000]


def test_a_drill_sends_what_is_heard_to_the_chosen_port(drill: Drill, hand: Hand) -> None:
    out, why = drums_for(SoundChoice(midi=NAME), drill.transport, drill.passage, hand)
    assert why == ""
    assert out is not None
    drill.start()
    for _ in range(1501):
        hand.push(0.004)
        out.look()
    drill.pause()
    out.look()
    out.close()
    (port,) = Output.opened
    told = port.told()
    assert told[0] == "start"
    # Two beats counted in, then two bars of two beats: six seconds at 60, and the next first.
    assert told.count(f"note_on {BLOCK}") == 6 + 1
    assert told.count(f"note_on {STICK}") == 12 + 1
    assert told.count(f"note_on {SKIN}") == 8 + 1
    assert "stop" in told
    assert sum(t.startswith("note_on") for t in told) == sum(t.startswith("note_off") for t in told)


def test_a_port_that_is_not_there_is_told_and_practice_goes_on(drill: Drill) -> None:
    drill.drum_on(SoundChoice(midi="Attic"))
    assert drill.notice.startswith("There is no MIDI port 'Attic'.")
    drill.start()
    assert drill.state == "playing"
    drill.close()


def test_a_port_that_goes_away_is_told_once(drill: Drill) -> None:
    drill.drum_on(SoundChoice(midi=NAME))
    (port,) = Output.opened
    port.is_gone = True
    drill.start()
    assert drill._drums is not None
    drill._drums._thread.join(10)
    assert drill.keep_going()
    assert "The MIDI port no longer answers" in drill.notice
    assert not drill.keep_going()
    drill.close()
