"""The drill seen from the music stand: large figures, one pedal, and on to the next."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from textual.pilot import Pilot

from companion.click.plan.tempo_plan import Fixed
from companion.files.folders import Folders
from companion.journal.log_entries import logged
from companion.score.bar_numbers import find_part
from companion.session.open_score import choose_part, open_for_practice
from companion.session.suggested_passages import suggested_passages
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.widgets.stand_view import StandNow, StandView
from tests.sound.test_midi_in import PaperPort
from tests.tui.drill_room import BAR, Room


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


def stand(room: Room) -> StandNow:
    now = room.screen.query_one(StandView).now
    assert now is not None
    return now


async def test_beat_bar_tempo_and_the_notes_that_come_are_shown(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "f", "space")
        room.after(BAR + 1.1)  # after the count-in, in the second beat of bar 1
        shown = stand(room)
        assert (shown.bar, shown.beat, shown.tempo) == ("1", 2, "60")
        assert shown.beat_name == "dotted quarter"
        assert [line.split()[0] for line in shown.coming] == ["1", "2"]
        assert not shown.is_silent
        await room.press(pilot, "f")
        assert not room.screen.query_one(StandView).display


async def test_what_is_paused_is_on_the_stand_too(app_folders: Folders) -> None:
    room = Room(app_folders, bars=24)  # more than are seen at a time
    async with room.app.run_test(size=(60, 20)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "n", "space")
        room.after(15 * BAR + 1)
        await room.press(pilot, "space", "f")
        assert stand(room).bar in room.lanes.split("\n")[0].split()


async def test_a_silent_bar_is_marked_before_and_while_it_is_on(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "f", "x", *"every 2", "enter", "space")
        room.after(BAR + 0.5)
        assert "no click" in stand(room).coming[1]
        assert "SILENT" not in room.screen.query_one(StandView).text
        room.after(BAR)
        assert stand(room).is_silent
        assert "bar 2 · SILENT" in room.screen.query_one(StandView).text


class Foot:
    """A pedal under a foot, in the time of the room."""

    def __init__(self, room: Room) -> None:
        self.room, self.port = room, PaperPort()
        room.screen.listen_to_pedal(self.port, room.hand)

    async def press(self, pilot: Pilot[None], times: int = 1, seconds: float = 0.2) -> None:
        for _ in range(times):
            self._say(127)
            self.room.hand.push(seconds)
            self.room.screen.hear_pedal()
            self._say(0)
            self.room.hand.push(0.2)
        self.room.hand.push(1)
        self.room.screen.hear_pedal()
        await self.room.settle(pilot)

    def _say(self, value: int) -> None:
        self.port.came(mido.Message("control_change", control=64, value=value))


async def test_one_pedal_starts_sets_the_tempo_and_says_how_it_went(
    room: Room, app_folders: Folders
) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "f")
        foot = Foot(room)
        await foot.press(pilot, 3)
        assert room.drill.setting.tempo == Fixed(Fraction(62))
        await foot.press(pilot, 2)
        assert room.drill.setting.tempo == Fixed(Fraction(60))
        await foot.press(pilot)
        assert room.told.startswith("▶ playing")
        room.after(3 * BAR)
        await foot.press(pilot, seconds=1.5)
        assert isinstance(room.app.screen, OutcomeScreen)
        await foot.press(pilot, 3)
        [attempt] = logged(app_folders)
        assert getattr(attempt, "outcome", None) == "held"
        assert room.said.endswith("N: today's next.")
        await room.press(pilot, "f")
        assert not foot.port.is_open


async def test_the_next_of_todays_plan_is_a_key_away(demo: Path, app_folders: Folders) -> None:
    open_score = open_for_practice(demo, app_folders)
    viola = find_part(open_score.score, "viola")
    open_score = choose_part(open_score, app_folders, viola).open_score
    first = suggested_passages(open_score, viola)[0]
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(DrillScreen(open_score, first, app_folders))
        await app.workers.wait_for_complete()
        await pilot.press("f", "N")
        await app.workers.wait_for_complete()
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        there = app.screen
        assert isinstance(there, DrillScreen)
        # The hardest bars of the viola come first in the plan: as printed, B to B+7.
        assert (there.passage.first, there.passage.last) == (14, 17)
        assert there.query_one(StandView).display, "it stays on the stand"


async def test_without_a_plan_it_says_so(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "N")
        await pilot.pause()
        assert "Nothing is left of today's plan" in room.said


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20)])
def test_the_stand_is_seen(
    size: tuple[int, int], room: Room, snap_compare: Callable[..., bool]
) -> None:
    async def look(pilot: Pilot[None]) -> None:
        await room.enter(pilot)
        await room.press(pilot, "f", "space")
        room.after(BAR + 1.1)
        await pilot.pause()

    assert snap_compare(room.app, terminal_size=size, run_before=look)
