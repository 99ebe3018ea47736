"""Recording on the drill: the microphone opens with a key, is told, and closes with the take."""

from __future__ import annotations

import re
from collections.abc import Generator
from typing import TYPE_CHECKING

import numpy as np
import pytest
from numpy.typing import NDArray
from textual.widgets import Static

from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.practice.attempt import HeardBy
from companion.sound.recording import RATE
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.judgement_screen import JudgementScreen
from companion.tui.widgets.early_late import EarlyLate
from companion.tui.widgets.notice import Notice
from tests.tui.drill_room import BAR, Room

if TYPE_CHECKING:
    from textual.pilot import Pilot


def plucked(times: list[float], hertz: float, seconds: float) -> NDArray[np.float64]:
    """A plucked note at each of these seconds, with eight harmonics."""
    wave: NDArray[np.float64] = np.zeros(round(seconds * RATE))
    at = np.arange(round(0.3 * RATE)) / RATE
    note = sum(np.sin(2 * np.pi * hertz * k * at) / k for k in range(1, 9)) * np.exp(-9 * at)
    for time in times:
        first = round(time * RATE)
        wave[first : first + len(note)] += note[: len(wave) - first]
    wave *= 0.5 / np.abs(wave).max()
    wave += np.random.default_rng(1).normal(0, 1e-3, len(wave))
    return wave


class Microphone:
    """Hands over a take at once; tells whether it is open."""

    def __init__(self, sound: NDArray[np.float64]) -> None:
        self.sound = sound
        self.is_open = False

    def __call__(self) -> Microphone:
        self.is_open = True
        return self

    def start(self, blocks: Generator[None, bytes, None]) -> None:
        blocks.send((self.sound * 32767).astype("<i2").tobytes())

    def close(self) -> None:
        self.is_open = False


class LiveMicrophone(Microphone):
    """Hands a take over as it goes on."""

    def start(self, blocks: Generator[None, bytes, None]) -> None:
        self.blocks, self.sent = blocks, 0

    def until(self, seconds: float) -> None:
        """What has sounded up to so many seconds."""
        now = round(seconds * RATE)
        self.blocks.send((self.sound[self.sent : now] * 32767).astype("<i2").tobytes())
        self.sent = now


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


def put_up(monkeypatch: pytest.MonkeyPatch, sound: NDArray[np.float64]) -> Microphone:
    found = Microphone(sound)
    monkeypatch.setattr("companion.sound.recording.microphone", found)
    return found


def key_of(room: Room) -> int:
    from companion.score.texture import texture_of

    stream = texture_of(room.drill.passage.clock).streams[0]
    pitch = stream.sounds[0].pitch
    assert pitch is not None
    return pitch


async def recorded(room: Room, pilot: Pilot[None], microphone: Microphone) -> None:
    """Four bars of threes at 60, the third of each late by 30 ms."""
    hertz = 440 * 2 ** ((key_of(room) - 69) / 12)
    times = [BAR + b + k / 3 + 0.03 * (k > 0) for b in range(8) for k in range(3)]
    microphone.sound = plucked(times, hertz, 11.5)
    await room.press(pilot, "R")
    assert microphone.is_open
    assert "The microphone is open" in room.said
    room.after(BAR + 8 - 0.05)
    await room.press(pilot, "space")
    await room.settle(pilot)


async def test_a_take_is_judged_kept_only_if_asked_and_deleted(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    microphone = put_up(monkeypatch, np.zeros(1))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await recorded(room, pilot, microphone)
        assert not microphone.is_open
        screen = room.app.screen
        assert isinstance(screen, JudgementScreen), room.said
        takes = room.folders.data / "takes"
        assert not takes.exists()
        await pilot.press("k")
        (kept,) = takes.iterdir()
        assert f"Kept: {kept}" in screen.query_one(Notice).text
        await pilot.press("k")
        assert list(takes.iterdir()) == []
        told = str(screen.query_one("#judgement-told", Static).render())
        late = re.search(r"The notes off the beat come (\d+) ms late", told)
        assert late is not None
        assert int(late[1]) == pytest.approx(30, abs=8)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        await room.settle(pilot)
        (noted,) = logged_attempts(room.folders)
        assert noted.heard is not None
        assert noted.heard.by is HeardBy.TAKE
        assert noted.outcome is noted.heard.outcome
        assert isinstance(room.app.screen, DrillScreen)


async def test_while_it_is_recorded_the_strip_is_a_beat_behind_at_most(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    microphone = LiveMicrophone(np.zeros(1))
    monkeypatch.setattr("companion.sound.recording.microphone", microphone)
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        hertz = 440 * 2 ** ((key_of(room) - 69) / 12)
        times = [BAR + b + k / 3 + 0.04 * (k > 0) for b in range(8) for k in range(3)]
        microphone.sound = plucked(times, hertz, 11.5)
        strip = room.screen.query_one(EarlyLate)
        await room.press(pilot, "R")
        assert not strip.display
        for beat in range(1, 7):
            microphone.until(BAR + beat + 0.1)
            room.after(BAR + 0.1 if beat == 1 else 0)
            room.after(1)
            await room.settle(pilot)
        assert strip.display
        lines = str(strip.render()).splitlines()
        (off,) = [line for line in lines if line.startswith("off the beat")]
        assert off.count("›") + off.count("»") >= 8, off
        await room.press(pilot, "s")
        assert not strip.display


async def test_the_attempt_before_is_shown_below(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    microphone = put_up(monkeypatch, np.zeros(1))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for number in range(2):
            await recorded(room, pilot, microphone)
            told = str(room.app.screen.query_one("#judgement-told", Static).render())
            assert ("last time" in told) is (number == 1)
            await room.press(pilot, "escape")
            room.drill.stop()


async def test_stop_drops_the_take_and_closes_the_microphone(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    microphone = put_up(monkeypatch, np.zeros(RATE))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "R")
        room.after(BAR + 1)
        await room.press(pilot, "s")
        assert not microphone.is_open
        assert "nothing of this take is kept" in room.said


async def test_another_tempo_meanwhile_is_not_judged(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    microphone = put_up(monkeypatch, np.zeros(RATE))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "R")
        room.after(BAR + 1)
        await room.press(pilot, "up")
        await room.press(pilot, "R")
        assert not microphone.is_open
        assert "the click was changed" in room.said


async def test_without_a_microphone_it_says_so(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "R")
        assert "Nothing is recorded while COMPANION_SOUND says silent" in room.said
        assert room.drill.state == "idle"


async def test_a_silent_take_is_told(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    put_up(monkeypatch, np.zeros(9 * RATE))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "R")
        room.after(BAR + 4)
        await room.press(pilot, "R")
        await room.settle(pilot)
        assert "this take is silent" in room.said
