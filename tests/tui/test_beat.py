"""A click without a score in the app: two keys from the first screen, and minutes in the log."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.files.folders import Folders
from companion.journal.log_entries import logged, logged_entries
from companion.journal.practice_in_progress import left_in_progress
from companion.practice.entry import Activity
from companion.session.plain_beat import (
    BeatAsked,
    BeatDrill,
    BeatWords,
    passage_of_beat,
    plain_beat,
    setting_of_beat,
)
from companion.tui.app import CompanionApp
from companion.tui.screens.beat_screen import BeatScreen
from companion.tui.screens.choice_screen import ChoiceScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.widgets.drill_status import DrillStatus
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.stand_view import StandView
from tests.session.small_scores import Hand, silent


class Warming:
    """An app with a beat, and the hand of its clock."""

    def __init__(
        self, folders: Folders, text: str, tempo: str = "60", what: Activity | None = None
    ) -> None:
        self.hand, self.folders = Hand(), folders
        self.app = CompanionApp(folders)
        beat = plain_beat(text)
        asked = BeatAsked(beat, setting_of_beat(beat, BeatWords(tempo)), what)
        self.screen = BeatScreen(folders, asked, lambda: self._drill(asked), self.hand)

    def _drill(self, asked: BeatAsked) -> BeatDrill:
        bar = passage_of_beat(asked.beat)
        drill = BeatDrill(*bar, self.folders, silent(self.hand), clock=self.hand)
        drill.request(asked.setting)
        return drill

    async def enter(self, pilot: Pilot[None]) -> None:
        await self.app.push_screen(self.screen)
        await self.press(pilot)

    async def press(self, pilot: Pilot[None], *keys: str) -> None:
        await pilot.press(*keys)
        await self.app.workers.wait_for_complete()
        await pilot.pause()

    def after(self, seconds: float) -> None:
        self.hand.push(seconds)
        self.screen.look()

    @property
    def drill(self) -> BeatDrill:
        assert self.screen.beat is not None
        return self.screen.beat

    @property
    def said(self) -> str:
        return self.app.screen.query_one(Notice).text


async def test_two_keys_from_the_first_screen_beat(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("b")
        await pilot.press("space")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, BeatScreen)
        told = app.screen.query_one(DrillStatus).told
        assert told.startswith("▶ playing")
        assert "Tempo: quarter = 60 · plan (p)" in told
        await pilot.press("escape")
        assert isinstance(app.screen, OpeningScreen), "nothing to log: no question"


async def test_minutes_are_asked_about_on_leaving_and_are_no_attempt(app_folders: Folders) -> None:
    room = Warming(app_folders, "3:2")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(300)
        room.screen.keep_practice()
        assert left_in_progress(app_folders) == []
        await room.press(pilot, "escape")
        assert isinstance(room.app.screen, ChoiceScreen)
        assert room.app.screen.asks == "Log 5:00 as"
        await room.press(pilot, "enter")
        [entry] = logged_entries(app_folders)
        assert (entry.what, entry.seconds) == (Activity.SCALES, 300)
        assert logged(app_folders) == [entry]
        assert "scales · 5 minutes · beat 3:2" in room.said


async def test_what_is_not_to_be_logged_is_not(app_folders: Folders) -> None:
    room = Warming(app_folders, "6/8")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(120)
        await room.press(pilot, "escape", "end", "enter")
        assert isinstance(room.app.screen, OpeningScreen)
    assert logged_entries(app_folders) == []


async def test_enter_logs_and_goes_on_counting_from_nothing(app_folders: Folders) -> None:
    room = Warming(app_folders, "6/8")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(30)
        await room.press(pilot, "enter")
        assert "under a minute" in room.said
        room.after(90)
        await room.press(pilot, "enter", "enter")
        assert len(logged_entries(app_folders)) == 1
        assert room.app.screen is room.screen
        assert room.drill.played == 0


@pytest.mark.parametrize("end", ["q", "exit"])
async def test_what_was_to_be_logged_is_logged_however_it_ends(
    app_folders: Folders, end: str
) -> None:
    room = Warming(app_folders, "4/4", what=Activity.SCALES)
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(180)
        if end == "q":
            await room.press(pilot, "q")
        else:
            room.app.exit()
    [entry] = logged_entries(app_folders)
    assert (entry.what, entry.seconds) == (Activity.SCALES, 180)


async def test_taps_set_the_tempo(app_folders: Folders) -> None:
    room = Warming(app_folders, "4/4")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "k")
        assert room.said == "Tap again."
        for _ in range(3):
            room.hand.push(0.5)
            await room.press(pilot, "k")
        assert room.drill.setting.tempo == Fixed(Fraction(120))
        await room.press(pilot, "u")
        assert room.drill.setting.tempo == Fixed(Fraction(60))


async def test_a_ladder_that_is_typed_climbs_by_bars(app_folders: Folders) -> None:
    room = Warming(app_folders, "2/4")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "p")
        room.app.screen.query_one(Input).value = "60 to 120 by 60, twice each"
        await room.press(pilot, "enter")
        assert isinstance(room.drill.setting.tempo, Ladder)
        await room.press(pilot, "space")
        room.after(3.9)
        assert room.drill.bpm == 60
        room.after(0.2)
        assert room.drill.bpm == 120  # two bars of two seconds are over


async def test_another_beat_keeps_the_tempo_and_is_there_next_time(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("b", "up", "N")
        await app.workers.wait_for_complete()
        app.screen.query_one(Input).value = "7:4"
        await pilot.press("enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press("up", "escape", "b")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, BeatScreen)
        assert app.screen.open_score.score.title == "7:4"
        assert app.screen.drill is not None
        assert app.screen.drill.bpm >= 61


async def test_a_beat_is_shown_in_lanes_and_never_as_notes_nobody_wrote(
    app_folders: Folders,
) -> None:
    room = Warming(app_folders, "3:2")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for keys in ((), ("n",), ("i",)):
            await room.press(pilot, *keys)
            assert not room.screen.query_one(PassageLanes).shows_notes
        assert room.said == "There are no notes here, only a beat."


async def test_the_stand_counts_the_bars(app_folders: Folders) -> None:
    room = Warming(app_folders, "3/4")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "f", "space")
        room.after(4.1)
        stand = room.screen.query_one(StandView).now
        assert stand is not None
        assert (stand.bar, stand.beat, stand.tempo) == ("2", 2, "60")


@pytest.mark.parametrize("size", [(80, 24), (140, 40)])
def test_a_ratio_is_seen(
    app_folders: Folders, size: tuple[int, int], snap_compare: Callable[..., bool]
) -> None:
    room = Warming(app_folders, "3:2")

    async def look(pilot: Pilot[None]) -> None:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(0.8)
        await pilot.pause()

    assert snap_compare(room.app, terminal_size=size, run_before=look)
