"""Random keys, clicks, pastes and sizes of the terminal: the screen never dies, and can be left.

COMPANION_MONKEY=100000 does so many actions; a short storm is part of every run.
"""

from __future__ import annotations

import os
import random

import pytest
from textual.events import Paste
from textual.pilot import OutOfBounds, Pilot

from companion.files.folders import Folders, demo_score
from companion.tui.app import CompanionApp
from tests.tui.practised_weeks import practised_viola

ACTIONS = int(os.environ.get("COMPANION_MONKEY", "240"))
AT_ONCE = 120
"""Actions in one life of the app."""

KEYS = (
    *"abcdefghijklmnoprstuvwxyzABCDEFGHIJKLMNOPRSTUVWXYZ0123456789+-?.,/é漢",
    *("enter", "escape", "up", "down", "left", "right", "pageup", "pagedown", "home", "end"),
    *("tab", "shift+tab", "backspace", "delete", "space", "ctrl+p", "f1", "ctrl+a", "ctrl+k"),
)
SIZES = ((80, 24), (10, 5), (1, 1), (2, 2), (200, 60), (60, 20), (140, 40), (30, 10), (80, 3))
PASTES = ("13-20", "\x1b[31m", "é" * 50, "x" * 3000, "3:2", "\n\n")


async def act(pilot: Pilot[None], chance: random.Random) -> None:
    kind = chance.random()
    if kind < 0.86:
        await pilot.press(chance.choice(KEYS))
    elif kind < 0.93:
        size = pilot.app.size
        try:
            await pilot.click(offset=(chance.randrange(size.width), chance.randrange(size.height)))
        except OutOfBounds:
            return
    elif kind < 0.97:
        await pilot.resize_terminal(*chance.choice(SIZES))
    else:
        pilot.app.post_message(Paste(chance.choice(PASTES)))


@pytest.mark.parametrize("seed", range(max(1, ACTIONS // AT_ONCE)))
async def test_whatever_is_pressed_the_app_lives_and_can_be_left(
    app_folders: Folders, seed: int
) -> None:
    chance = random.Random(seed)
    if seed % 2:
        practised_viola(app_folders)
    app = CompanionApp(app_folders, demo_score() if chance.random() < 0.7 else None)
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(AT_ONCE):
            await act(pilot, chance)
            assert app.is_running
        await pilot.resize_terminal(80, 24)
        for _ in range(12):
            await pilot.press("escape")
        await pilot.press("ctrl+q")
        await pilot.pause()
        assert not app.is_running, app.screen
