"""Tapping on the drill: plain beats first, then the passage, its judgement and the log."""

from __future__ import annotations

from typing import TYPE_CHECKING

import mido
import pytest
from textual.widgets import Static

from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.listening.taps import Calibration
from companion.practice.attempt import HeardBy, Outcome
from companion.session.tapping import (
    KEYBOARD,
    device_name,
    keep_calibration,
    kept_calibration,
    sides_of_pad,
)
from companion.sound.device_choice import sound_choice
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.judgement_screen import JudgementScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.tap_screen import CALIBRATION_BEATS, TapScreen
from companion.tui.widgets.notice import Notice
from tests.sound.test_midi_in import PaperPort
from tests.tui.drill_room import BAR, Room
from tests.wording.test_judgement_sentences import tapped

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.pilot import Pilot

PLAIN = 60 / 96
"""Seconds of a plain beat."""


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


async def taps(room: Room, pilot: Pilot[None], measured: float | None = None) -> TapScreen:
    """The screen for taps, whose keys are struck when the hand says; its delay perhaps measured
    before."""
    await room.enter(pilot)
    screen = TapScreen(
        room.drill, room.screen.facing, room.folders, clock=room.hand, moment=lambda _: room.hand()
    )
    if measured is not None:
        device = device_name(KEYBOARD, sound_choice(room.folders).device or "")
        keep_calibration(room.folders, device, Calibration(measured, 0.005))
    await room.app.push_screen(screen, room.screen.noted)
    await room.settle(pilot)
    return screen


async def strike(
    room: Room, pilot: Pilot[None], screen: TapScreen, moments: list[tuple[float, str]]
) -> None:
    """Strike keys at seconds after the start, looking ten times a second meanwhile."""
    begun = room.hand()
    for at, key in sorted(moments):
        while room.hand() < begun + at - 1 / 10:
            room.hand.push(1 / 10)
            screen.look()
        room.hand.push(max(0.0, begun + at - room.hand()))
        await pilot.press(key)


async def calibrate(room: Room, pilot: Pilot[None], screen: TapScreen, late: float) -> None:
    await pilot.press("space")
    count_in = 2 * PLAIN
    beats = [(count_in + n * PLAIN + late, "j") for n in range(CALIBRATION_BEATS)]
    await strike(room, pilot, screen, beats)
    room.hand.push(2 * PLAIN)
    screen.look()
    await pilot.pause()


def told(screen: TapScreen | JudgementScreen) -> str:
    return "\n".join(str(one.render()) for one in screen.query(Static))


async def test_k_opens_it_and_plain_beats_come_first(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "k")
        assert isinstance(room.app.screen, TapScreen)
        assert "16 plain beats first" in told(room.app.screen)
        assert "Not measured yet" in told(room.app.screen)
        await room.press(pilot, "escape")
        assert isinstance(room.app.screen, DrillScreen)


async def test_what_the_keyboard_adds_is_measured_and_kept(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        screen = await taps(room, pilot)
        before = room.drill.setting
        await calibrate(room, pilot, screen, 0.04)
        kept = kept_calibration(room.folders, screen.device)
        assert kept is not None
        assert kept.delay == pytest.approx(0.04, abs=0.001)
        assert "40 ms after the click" in told(screen)
        assert room.drill.setting == before
        assert room.drill.state == "idle"


async def test_late_twos_are_heard_and_both_words_are_kept(room: Room) -> None:
    """Three theirs in the other part's 2/4 are two; mine are three: here mine come 40 ms late."""
    async with room.app.run_test(size=(80, 24)) as pilot:
        screen = await taps(room, pilot, 0.03)
        await pilot.press("space")
        beats = range(8)
        mine = [(BAR + b + k / 3 + 0.03 + 0.04, "j") for b in beats for k in range(3)]
        theirs = [(BAR + b + k / 2 + 0.03, "f") for b in beats for k in range(2)]
        await strike(room, pilot, screen, [*mine, *theirs])
        assert "mine         │" in told(screen), "the strip is drawn while it plays"
        room.hand.push(0.1)
        await pilot.press("space")
        await pilot.pause()
        judged = room.app.screen
        assert isinstance(judged, JudgementScreen)
        assert "Your own notes come 40 ms late" in told(judged)
        await pilot.press("n")
        assert "your own notes: 40 ms late" in told(judged).lower()
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(room.app.screen, OutcomeScreen)
        assert "Heard: held." in told(room.app.screen)  # type: ignore[arg-type]
        await pilot.press("4")
        await room.settle(pilot)
        (noted,) = logged_attempts(room.folders)
        assert noted.outcome is Outcome.SECURE
        assert noted.heard is not None
        assert (noted.heard.outcome, noted.heard.by) == (Outcome.HELD, HeardBy.TAPS)
        assert noted.heard.missed == noted.heard.added == 0
        assert not noted.is_played
        assert isinstance(room.app.screen, DrillScreen)


async def test_of_one_side_alone_the_notes_off_the_beat_are_compared(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        screen = await taps(room, pilot, 0.03)
        await pilot.press("space")
        mine = [(BAR + b + k / 3 + 0.03 * (1 + (k > 0)), "j") for b in range(8) for k in range(3)]
        await strike(room, pilot, screen, mine)
        await pilot.press("space")
        await pilot.pause()
        assert isinstance(room.app.screen, JudgementScreen)
        assert "The notes off the beat come 30 ms late" in told(room.app.screen)


async def test_no_taps_are_told_and_nothing_is_noted(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        screen = await taps(room, pilot, 0.0)
        await pilot.press("space")
        room.hand.push(5)
        screen.look()
        await pilot.press("space")
        await pilot.pause()
        assert room.app.screen is screen
        assert "nothing was tapped" in screen.query_one(Notice).text
        await room.press(pilot, "escape")
        assert logged_attempts(room.folders) == []
        assert room.drill.seconds == 0


async def test_a_pad_taps_both_sides(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        screen = await taps(room, pilot)
        port = PaperPort()
        screen.listen_to("Pad", port)
        assert "MIDI pad: Pad" in told(screen)
        for is_plain in (True, False):
            await pilot.press("space")
            beat = PLAIN if is_plain else 1.0
            struck = [(2 * beat + n * beat, 40) for n in range(17 if is_plain else 8)]
            if not is_plain:
                struck += [(at + k / 3 + 0.04, 40) for at, _ in struck for k in (1, 2)]
                struck += [(BAR + n / 2, 36) for n in range(16)]
            begun = room.hand()
            for at, key in sorted(struck):
                room.hand.push(begun + at - room.hand())
                screen.look()
                port.came(mido.Message("note_on", note=key, velocity=80))
            room.hand.push(PLAIN / 2)
            screen.look()
        await pilot.press("space")
        await pilot.pause()
        judged = room.app.screen
        assert isinstance(judged, JudgementScreen)
        assert {side.name for side in judged.judged.sides} == {"mine", "theirs"}
        assert not judged.judged.missed
        assert not judged.judged.added


def test_the_lower_key_of_a_pad_is_theirs() -> None:
    assert sides_of_pad([(1.0, 36), (1.2, 38), (1.4, 36)]) == [
        ("theirs", 1.0),
        ("mine", 1.2),
        ("theirs", 1.4),
    ]
    assert sides_of_pad([(1.0, 36)]) == [("mine", 1.0)]


def test_a_judgement_as_a_picture(app_folders: Folders, snap_compare: Callable[..., bool]) -> None:
    room = Room(app_folders, bars=4)

    async def look(pilot: Pilot[None]) -> None:
        await room.enter(pilot)
        judged = tapped(0.06, with_faults=True)
        await room.app.push_screen(JudgementScreen(room.drill, judged, HeardBy.TAPS))
        await pilot.pause()

    assert snap_compare(room.app, terminal_size=(80, 24), run_before=look)
    assert room.app._exception is None  # else the picture is that of an app which ended


@pytest.mark.parametrize("size", [(20, 6), (1, 1), (300, 100)])
async def test_no_size_of_terminal_breaks_it(size: tuple[int, int], room: Room) -> None:
    async with room.app.run_test(size=size) as pilot:
        await taps(room, pilot, 0.0)
        await pilot.press("space", "j", "f", "space")
        await pilot.pause()
