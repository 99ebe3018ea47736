"""A sound device that is pulled out while a drill plays, in the app itself.

Run as `python -m tests.sound.live.unplugged FOLDER` in a home whose sound card is a paced
ear; what the screen then says is printed as JSON.
"""

from __future__ import annotations

import asyncio
import json
import sys
from collections.abc import Callable
from pathlib import Path

from companion.files.folders import Folders, demo_score
from companion.score.passage import passage
from companion.session.open_score import open_for_practice
from companion.sound.miniaudio_card import MiniaudioCard
from companion.sound.player import CardPlayer
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.widgets.drill_status import DrillStatus
from companion.tui.widgets.notice import Notice


async def until(condition: Callable[[], bool]) -> None:
    """Let time pass until something is so."""
    for _ in range(2000):
        if condition():
            return
        await asyncio.sleep(0.005)
    raise AssertionError("waited in vain")


async def main(folder: Path) -> dict[str, object]:
    """Begin a drill, pull the device out, and tell what is seen."""
    folders = Folders(folder / "data", folder / "cache")
    open_score = open_for_practice(demo_score(), folders)
    app = CompanionApp(folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = DrillScreen(open_score, passage(open_score.clock, 3, 13, 20), folders)
        await app.push_screen(screen)
        await app.workers.wait_for_complete()
        await pilot.pause()
        drill = screen.drill
        assert drill is not None
        await pilot.press("space")
        player = drill.transport._player
        assert isinstance(player, CardPlayer)
        card = player._card
        assert isinstance(card, MiniaudioCard)
        await until(lambda: drill.transport.place() is not None and card.now() > 4800)
        before = drill.position()
        # Stopped behind the player's back the library reports what it reports when a
        # device is unplugged.
        card._device.stop()
        notice = screen.query_one(Notice)
        await until(lambda: bool(notice.text))
        after = drill.position()
        assert before is not None
        assert after is not None
        seen = {
            "notice": notice.text,
            "told": screen.query_one(DrillStatus).told.splitlines()[0],
            "state": drill.state,
            "moved": float(after.place.into - before.place.into),
        }
        await until(lambda: (drill.position() or after).place.into > after.place.into)
        drill.close()
    return seen


if __name__ == "__main__":
    json.dump(asyncio.run(main(Path(sys.argv[1]))), sys.stdout)
