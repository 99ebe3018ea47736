"""A goal set from the passage, and given up again."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Static

from companion.files.folders import Folders
from companion.practice.attempt import now
from companion.practice.goal import OccasionKind
from companion.score.passage import passage
from companion.session.goals import dates, goals
from companion.tui.app import CompanionApp
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.form_row import FormRow
from companion.tui.widgets.notice import Notice
from tests.session.practised import VIOLA
from tests.tui.practised_weeks import viola


async def asked(pilot: Pilot[None], folders: Folders) -> PassageScreen:
    open_score = viola(folders)
    screen = PassageScreen(open_score, passage(open_score.clock, VIOLA, 14, 17), folders)
    await pilot.app.push_screen(screen)
    await pilot.press("G")
    assert isinstance(pilot.app.screen, FormScreen)
    return screen


@pytest.mark.parametrize("away", ["up", "down"])
async def test_what_was_refused_stays_until_it_is_mended(app_folders: Folders, away: str) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        form = pilot.app.screen
        await pilot.press("down", *"next friday")
        await pilot.press(away)
        assert "By               ‹ next friday" in rows(form)
        assert said(form).startswith("! “next friday” is not a date")
        await pilot.press("enter")
        assert pilot.app.screen is form
        assert cursor(form) == "By"
        assert said(form).startswith("! “next friday” is not a date")
        await pilot.press(*["backspace"] * len("next friday"), *"2090-05-02", "up", "enter")
        assert pilot.app.screen is not form
        [(_, by)] = goals(app_folders)
        assert str(by) == "2090-05-02"


@pytest.mark.parametrize("key", ["ctrl+z", "right", "delete"])
async def test_what_was_refused_is_undone_or_stepped_over(app_folders: Folders, key: str) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        form = pilot.app.screen
        await pilot.press("down", *"soon", "up", "right")
        assert said(form).startswith("! “soon” is not a date"), "another row does not mend it"
        await pilot.press("down", key)
        assert not said(form).startswith("!")
        assert not any("soon" in row for row in rows(form))
        await pilot.press("enter")
        assert len(goals(app_folders)) == 1


async def test_the_cursor_stays_on_its_row_when_others_come_and_go(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        form = pilot.app.screen
        await pilot.press("down", "down")
        for key in ("right", "left", "left", "right"):
            assert rows(form)[0] == "Tempo            ‹ 69"
            assert cursor(form) == "Goal"
            await pilot.press(key)
            assert rows(form) == ["Goal             ‹ none"]
            assert cursor(form) == "Goal"
            await pilot.press(key)
        assert rows(form) == [
            "Tempo            ‹ 69",
            "By               ‹ none",
            "Goal             ‹ set",
        ]


async def test_a_goal_that_is_not_there_is_not_said_to_be_removed(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        form = pilot.app.screen
        await pilot.press("down", "down", "right")
        assert said(form) == "No goal is set for these bars, so there is none to remove."
        await pilot.press("enter")
        assert said(form).startswith("! No goal is set for these bars")
        assert "companion goal" not in said(form)
        title = form.query_one("#form-box").border_title
        assert title == "Goal for Viola, bars 13–16"


def said(form: Screen[Any]) -> str:
    """What the form says will happen, or why it cannot."""
    return str(form.query_one("#form-told", Static).render())


def rows(form: Screen[Any]) -> list[str]:
    """The rows as they are seen, each to the end of its value."""
    return [str(row.render()).partition(" ›")[0] for row in form.query(FormRow)]


def cursor(form: Screen[Any]) -> str:
    """The label of the row under the cursor."""
    assert isinstance(form.focused, FormRow)
    return form.focused.row.label


async def test_the_scores_own_tempo_is_offered_and_a_date_put_down(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await asked(pilot, app_folders)
        await pilot.press("down", *"2090-05-02", "enter")
        assert pilot.app.screen is screen
        told = screen.query_one(Notice).text
        assert told.startswith("Goal: ")
        assert told.endswith("Viola bars 13–16, dotted quarter = 69, by 2 May 2090.")
        [(goal, by)] = goals(app_folders)
        assert (float(goal.tempo), goal.bars.first, goal.bars.last) == (69, 14, 17)
        assert [one.day for one in dates(app_folders)] == [by]


async def test_a_date_says_what_it_is_and_is_offered_so_again(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        await pilot.press("down", *"2090-05-02 rehearsal", "enter")
        [occasion] = dates(app_folders)
        assert occasion.kind is OccasionKind.REHEARSAL
        await pilot.press("G")
        assert isinstance(pilot.app.screen, FormScreen)
        assert pilot.app.screen.line.value.endswith(" by 2090-05-02 rehearsal")
        await pilot.press("enter")
        assert dates(app_folders) == [occasion]


async def test_what_is_typed_replaces_what_is_offered(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        await pilot.press(*"72.5", "enter")
        [(goal, by)] = goals(app_folders)
        assert (float(goal.tempo), by) == (72.5, None)


async def test_what_cannot_be_meant_is_refused_in_place(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        modal = pilot.app.screen
        await pilot.press("down", *"in May", "enter")
        assert pilot.app.screen is modal
        assert isinstance(modal, FormScreen)
        assert "is not a date" in modal.problem
        await pilot.press("escape")
        assert goals(app_folders) == []


async def test_an_empty_tempo_gives_the_goal_up(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await asked(pilot, app_folders)
        await pilot.press("enter", "G", "backspace", "enter")
        assert screen.query_one(Notice).text.startswith("Removed: ")
        assert goals(app_folders) == []
        await pilot.press("G", "backspace", "enter")
        assert isinstance(pilot.app.screen, FormScreen)
        assert "No goal is set for these bars" in said(pilot.app.screen)


async def test_the_date_is_moved_by_the_arrow_keys(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        screen = pilot.app.screen
        assert isinstance(screen, FormScreen)
        await pilot.press("down", "right")
        tomorrow = now().date() + timedelta(days=1)
        assert screen.line.value.endswith(f" by {tomorrow.isoformat()}")
        await pilot.press("left", "left")
        assert " by " not in screen.line.value, "a goal is never for a day that is over"
        await pilot.press("pageup", "down", "right", "right", "enter")
        [(_, by)] = goals(app_folders)
        assert by == now().date() + timedelta(days=7)
        assert [one.kind for one in dates(app_folders)] == [OccasionKind.REHEARSAL]


async def test_what_is_typed_in_one_line_sets_the_same_goal(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await asked(pilot, app_folders)
        screen = pilot.app.screen
        assert isinstance(screen, FormScreen)
        screen.line.value = "60 by tomorrow lesson"
        await pilot.press("enter")
        [(goal, by)] = goals(app_folders)
        assert (float(goal.tempo), by) == (60, now().date() + timedelta(days=1))
        assert [one.kind for one in dates(app_folders)] == [OccasionKind.LESSON]
