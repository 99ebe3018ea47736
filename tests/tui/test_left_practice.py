"""Practice that ends with the program: kept while it is played, asked about at the next start."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_entries import logged_attempts
from companion.journal.practice_in_progress import (
    forget_in_progress,
    keep_in_progress,
    left_in_progress,
)
from companion.practice.attempt import Attempt, Outcome
from companion.tui.app import CompanionApp
from companion.tui.screens.left_practice_screen import LeftPracticeScreen
from companion.tui.screens.opening_screen import OpeningScreen

Practised = Callable[..., Attempt]


def as_left(folders: Folders) -> Path:
    """The file of a program that runs no more: a process that has ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    own = folders.data / "in-progress" / f"{os.getpid()}.json"
    return own.rename(own.with_name(f"{ended.pid}.json"))


async def asked(pilot: Pilot[None]) -> LeftPracticeScreen:
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, LeftPracticeScreen)
    return screen


def test_what_a_running_program_keeps_is_not_left(
    app_folders: Folders, practised: Practised
) -> None:
    keep_in_progress(app_folders, [practised()])
    assert left_in_progress(app_folders) == []
    forget_in_progress(app_folders)
    assert list((app_folders.data / "in-progress").iterdir()) == []


def test_a_file_that_cannot_be_read_is_put_aside(
    app_folders: Folders, practised: Practised
) -> None:
    keep_in_progress(app_folders, [practised()])
    as_left(app_folders).write_bytes(b"{")
    assert left_in_progress(app_folders) == []
    assert [path.suffix for path in (app_folders.data / "in-progress").iterdir()] == [".damaged"]


async def test_the_next_start_asks_and_logs_it_as_it_is_rated(
    app_folders: Folders, practised: Practised
) -> None:
    played = practised(seconds=95.0, repetitions=3)
    keep_in_progress(app_folders, [played])
    as_left(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot)
        await pilot.press("3")
        await pilot.pause()
        assert isinstance(pilot.app.screen, OpeningScreen)
    (logged,) = logged_attempts(app_folders)
    assert (logged.outcome, logged.seconds, logged.repetitions) == (Outcome.HELD, 95.0, 3)
    assert left_in_progress(app_folders) == []


async def test_each_stretch_is_asked_about_and_held_only_of_what_was_played_through(
    app_folders: Folders, practised: Practised
) -> None:
    stretches = [practised(seconds=95.0, repetitions=0), practised(5, seconds=60.0)]
    keep_in_progress(app_folders, stretches)
    as_left(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await asked(pilot)
        await pilot.press("4")
        assert pilot.app.screen is screen, "it was not played through"
        await pilot.press("1")
        await asked(pilot)
        assert [one.id for one in left_in_progress(app_folders)] == [stretches[1].id]
        await pilot.press("4")
        await pilot.pause()
        assert isinstance(pilot.app.screen, OpeningScreen)
    assert [(one.id, one.outcome) for one in reversed(logged_attempts(app_folders))] == [
        (stretches[0].id, Outcome.FELL_APART),
        (stretches[1].id, Outcome.SECURE),
    ]
    assert left_in_progress(app_folders) == []


def test_what_was_rated_just_before_the_end_is_not_asked_again(
    app_folders: Folders, practised: Practised
) -> None:
    played = practised()
    keep_in_progress(app_folders, [played])
    as_left(app_folders)
    with Log.open(app_folders.data) as log:
        log.note(played)
    assert left_in_progress(app_folders) == []


@pytest.mark.parametrize(("key", "is_left"), [("d", False), ("escape", True)])
async def test_it_can_be_dropped_or_asked_about_later(
    app_folders: Folders, practised: Practised, key: str, is_left: bool
) -> None:
    keep_in_progress(app_folders, [practised()])
    as_left(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot)
        await pilot.press(key)
        await pilot.pause()
        assert isinstance(pilot.app.screen, OpeningScreen)
    assert bool(left_in_progress(app_folders)) == is_left
    assert list(logged_attempts(app_folders)) == []
