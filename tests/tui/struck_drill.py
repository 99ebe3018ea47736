"""The app with a drill that is played, changed and rated until it is struck down.

It says what was played, and what is safely in the log only after the screen had confirmed it.
"""

from __future__ import annotations

import asyncio
import random
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.journal.practice_in_progress import EVERY_SECONDS
from companion.tui.screens.outcome_screen import OutcomeScreen
from tests.journal.struck import say
from tests.tui.drill_room import Room

if TYPE_CHECKING:
    from textual.pilot import Pilot


async def play_until_struck(folder: Path, seed: int) -> None:
    """Plays on with a clock that is pushed; keeps what it has as often as the screen does."""
    draw = random.Random(seed)
    room = Room(Folders(folder, folder / "cache"))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        say("ready")
        while True:
            for _ in range(draw.randint(1, 4)):
                room.after(draw.uniform(0.5, EVERY_SECONDS))
                say("played", str(played(room)))
                room.screen.keep_practice()
            await room.press(pilot, draw.choice(["up", "down", "d", "m", "right", "u"]))
            if draw.random() < 0.6:
                await rate(room, pilot, draw)
            if room.drill.state != "playing":
                await room.press(pilot, "space")


async def rate(room: Room, pilot: Pilot[None], draw: random.Random) -> None:
    """How it went, and what was before, until nothing is asked any more."""
    await room.press(pilot, "e")
    while isinstance(room.app.screen, OutcomeScreen):
        await room.press(pilot, draw.choice("1234"))
        for attempt in logged_attempts(room.folders):
            say("noted", attempt.id)


def played(room: Room) -> float:
    """Seconds played since the start, as the log and the drill have them."""
    logged = sum(attempt.seconds for attempt in logged_attempts(room.folders))
    return logged + sum(attempt.seconds for attempt in room.drill.so_far())


if __name__ == "__main__":
    asyncio.run(play_until_struck(Path(sys.argv[1]), int(sys.argv[2])))
