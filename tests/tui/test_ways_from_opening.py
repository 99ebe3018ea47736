"""What can be reached from the first screen: goals, habits, timer, progress, by key and palette."""

import inspect
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.journal.log_entries import day_end_of
from companion.journal.timing import running_timer
from companion.session.goals import goals, set_goal_by
from companion.session.open_score import open_for_practice
from companion.session.todays_plan import habits_of
from companion.tui.app import CompanionApp
from companion.tui.screens.choice_screen import ChoiceScreen
from companion.tui.screens.goals_screen import GoalsScreen
from companion.tui.screens.habits_screen import HabitsScreen
from companion.tui.screens.left_timer_screen import LeftTimerScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.progress_screen import ProgressScreen
from tests.tui.drill_room import Room


def opening(pilot: Pilot[None]) -> OpeningScreen:
    screen = pilot.app.screen
    assert isinstance(screen, OpeningScreen)
    return screen


@pytest.mark.parametrize(
    ("key", "screen"),
    [
        ("y", "TodayScreen"),
        ("l", "LogScreen"),
        ("G", "GoalsScreen"),
        ("h", "HabitsScreen"),
        ("t", "ChoiceScreen"),
        ("b", "BeatScreen"),
        ("x", "ExercisesScreen"),
    ],
)
async def test_every_way_is_a_key_and_in_the_palette(
    app_folders: Folders, key: str, screen: str
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press(key)
        assert type(pilot.app.screen).__name__ == screen
        await pilot.press("escape")
        commands = {one.help: one for one in pilot.app.get_system_commands(opening(pilot))}
        assert not any("focus" in one.title.casefold() for one in commands.values())
        done = commands[key].callback()
        assert inspect.isawaitable(done)
        await done
        assert type(pilot.app.screen).__name__ == screen
        await pilot.press("escape")
        await pilot.press("ctrl+p")
        assert type(pilot.app.screen).__name__ == "CommandPalette"


async def test_progress_of_the_score_under_the_cursor_asks_whose(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("w")
        assert isinstance(pilot.app.screen, ChoiceScreen)
        await pilot.press("down", "down", "enter")
        shown = pilot.app.screen
        assert isinstance(shown, ProgressScreen)
        assert shown.part == 2
        await pilot.press("escape", "w")
        assert isinstance(pilot.app.screen, ProgressScreen), "it was chosen once"


async def test_a_timer_starts_here_and_is_not_kept_as_no_minutes(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("t", "down", "enter")
        timer = running_timer(app_folders)
        assert timer is not None
        assert timer.what == "sight-reading"
        await pilot.press("t")
        shown = pilot.app.screen
        assert isinstance(shown, LeftTimerScreen)
        await pilot.press("enter")
        assert pilot.app.screen is shown, "less than a minute is not noted"
        await pilot.press("down", "enter")
        assert running_timer(app_folders) is None


async def test_habits_are_changed_here(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("h", *"30", "enter")
        assert habits_of(app_folders).minutes == 30
        await pilot.press("h", "right", "ctrl+z", "enter")
        assert habits_of(app_folders).minutes == 30, "as it was"
        await pilot.press("h", *(["down"] * 10), *"3:30", "enter")
        assert f"{day_end_of(app_folders):%H:%M}" == "03:30"
        await pilot.press("h", *(["down"] * 10), *(["pagedown"] * 9), "enter")
        assert f"{day_end_of(app_folders):%H:%M}" == "01:00", "as far down as five steps lead"
        await pilot.press("h", *"3", "enter")
        shown = pilot.app.screen
        assert isinstance(shown, HabitsScreen)
        assert "Write 5 to 600" in shown.problem
        await pilot.press("escape")
        assert habits_of(app_folders).minutes == 30


async def test_many_digits_are_refused_at_once(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("h", *"9" * 40, "enter")
        shown = pilot.app.screen
        assert isinstance(shown, HabitsScreen)
        assert "5 to 600" in shown.problem


async def test_goals_are_listed_opened_removed_and_brought_back(
    demo: Path, app_folders: Folders
) -> None:
    open_score = open_for_practice(demo, app_folders)
    set_goal_by(app_folders, open_score, "viola", "13-20", Fraction(69), None)
    set_goal_by(app_folders, open_score, "viola", "24", Fraction(60), date(2030, 5, 2))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("G")
        shown = pilot.app.screen
        assert isinstance(shown, GoalsScreen)
        assert [goal.bars_label for goal, _ in shown.goals] == ["24", "13–20"], "the next day first"
        await pilot.press("down", "d")
        assert [goal.bars_label for goal, _ in goals(app_folders)] == ["24"]
        await pilot.press("u")
        assert len(goals(app_folders)) == 2
        await pilot.press("end", "enter")
        passage_shown = pilot.app.screen
        assert isinstance(passage_shown, PassageScreen)
        assert (passage_shown.passage.first, passage_shown.passage.last) == (14, 21)


async def test_every_action_of_a_drill_is_in_the_palette_with_its_key(
    app_folders: Folders,
) -> None:
    room = Room(app_folders)
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        commands = list(room.app.get_system_commands(room.screen))
        told = {one.help: one.title for one in commands}
        typed = {one for one in told if len(one) == 1}
        assert set("abdmtrogpwxOcvshukR") <= typed, "every letter of the help"
        assert told["u"] == "Undo the last change of tempo, plan, layers or silences"
        assert told["x"].startswith("Silences: ")
        assert told["W"] == "Write to a file"
        assert told["←→"].startswith("Bar: previous bar")
