"""How much a key sends to the terminal on a large score."""

from __future__ import annotations

import pytest
from rich.console import Console
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.pilot import Pilot
from textual.screen import Screen

from companion.files.folders import Folders
from companion.score.readers.opening import read_score
from companion.tui.app import CompanionApp
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.passage_screen import PassageScreen
from tests.bench.test_reading import corpus

MOST = 4096
"""Bytes: a third of a second over a serial line of 115,200 baud (ten bits each)."""


FULL_COLOUR = Console(color_system="truecolor", force_terminal=True)


class Counter:
    """Counts what an app would send; nothing is sent where nobody looks."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.bytes = 0

        def display(app: CompanionApp, _: Screen[object], painted: object) -> None:
            if isinstance(painted, LayoutUpdate | ChopsUpdate) and not app._batch_count:
                self.bytes += len(app._sent_cells.sequence(painted, FULL_COLOUR).encode())

        monkeypatch.setattr(CompanionApp, "_display", display)

    async def sent(self, pilot: Pilot[None], *keys: str) -> dict[str, int]:
        """The most that each key sent, with what came of it later."""
        found: dict[str, int] = {}
        for key in keys:
            self.bytes = 0
            await pilot.press(key)
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            found[key] = max(self.bytes, found.get(key, 0))
        return found


async def test_a_key_sends_no_more_than_four_kilobytes_on_a_large_score(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch
) -> None:
    counter = Counter(monkeypatch)
    quartet = corpus("beethoven/opus132.mxl")
    read_score(quartet, app_folders.cache)
    async with CompanionApp(app_folders, quartet).run_test(size=(140, 40)) as pilot:
        await pilot.pause()
        assert isinstance(pilot.app.screen, MapScreen)
        steps = ["right", "right", "left", "down", "up", "right", "s", "right", "escape"]
        leaps = ["pagedown", "pagedown", "pageup", "n", "n", "p", "end", "home", "n"]
        found = await counter.sent(pilot, "m", *steps, *leaps)
        assert all(found.values())
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, PassageScreen)
        found |= await counter.sent(pilot, "plus", "minus", "up", "down", "right")
        await pilot.press("d")
        found |= await counter.sent(pilot, "plus", "minus", "pageup", "pagedown")
    assert {key: bytes_ for key, bytes_ in found.items() if bytes_ > MOST} == {}
