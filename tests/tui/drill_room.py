"""A room to drill in: the app, a silent player, and the hand of its clock."""

from __future__ import annotations

from threading import Event
from typing import TYPE_CHECKING

from companion.files.folders import Folders
from companion.session.drill import Drill
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.widgets.drill_status import DrillStatus
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from tests.session.small_scores import Hand, drill_of, silent, three_against_two, whole

if TYPE_CHECKING:
    from textual.pilot import Pilot

BAR = 2
"""Seconds of a bar at 60."""


class Room:
    """An app with a drill of some bars of 3 against 2 at 60, and the hand of its clock."""

    def __init__(self, folders: Folders, bars: int = 2) -> None:
        open_score = self._open_score = three_against_two(bars)
        self.card = Event()
        self.card.set()
        """Set once the sound card opens; a test clears it to make the drill wait."""
        self.hand = Hand()
        self.folders = folders
        self.app = CompanionApp(folders)
        self.player = silent(self.hand)
        self.screen = DrillScreen(
            open_score,
            whole(open_score),
            folders,
            make=self._make,
        )

    def _make(self) -> Drill:
        self.card.wait()
        return drill_of(self._open_score, self.folders, self.hand, player=self.player)

    async def enter(self, pilot: Pilot[None]) -> None:
        """Open the drill and wait until it is ready."""
        await self.app.push_screen(self.screen)
        await self.settle(pilot)

    async def settle(self, pilot: Pilot[None]) -> None:
        """Wait for the sound that is being made, and for what it changes."""
        await self.app.workers.wait_for_complete()
        await pilot.pause()

    async def press(self, pilot: Pilot[None], *keys: str) -> None:
        await pilot.press(*keys)
        await self.settle(pilot)

    def after(self, seconds: float) -> None:
        """Let time go by and look."""
        self.hand.push(seconds)
        self.screen.look()

    @property
    def drill(self) -> Drill:
        assert self.screen.drill is not None
        return self.screen.drill

    @property
    def told(self) -> str:
        return self.screen.query_one(DrillStatus).told

    @property
    def said(self) -> str:
        return self.screen.query_one(Notice).text

    @property
    def lanes(self) -> str:
        return self.screen.query_one(PassageLanes).text
