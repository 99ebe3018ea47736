"""What an app that stays open for hours does otherwise than a command that ends at once."""

from __future__ import annotations

import asyncio
import gc

import pytest

from companion.files.folders import Folders
from companion.sound.gc_pause import IN_A_SESSION
from companion.tui import app as app_module
from companion.tui.app import CompanionApp


@pytest.mark.usefixtures("seldom_collected")
async def test_screens_that_were_left_are_searched_for_when_the_first_ones_stand(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else they stay: 139 MB after an hour of drills and 531 MB after eight."""
    monkeypatch.setattr(app_module, "FIRST_SCREENS_STAND", 0.01)
    async with CompanionApp(app_folders).run_test():
        async with asyncio.timeout(5):
            while gc.get_threshold() != IN_A_SESSION:
                await asyncio.sleep(0.01)
