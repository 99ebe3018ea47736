"""The log on the screen: newest first, one attempt told in full, this score or every one."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path
from typing import Any

from textual.events import Paste
from textual.geometry import Region
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Static

from companion.files.folders import Folders
from companion.journal.log import FILE_NAME, Log
from companion.practice.attempt import KEYS, Attempt, Outcome
from companion.score.cache import digest
from companion.tui.app import CompanionApp
from companion.tui.screens.log_form_screen import LogFormScreen
from companion.tui.screens.log_screen import AT_ONCE, LogScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.widgets.form_row import FormRow
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.notice import Notice
from companion.wording.control_characters import CONTROL
from tests.journal.noting import note_attempt

Practised = Callable[..., Attempt]


def log(pilot: Pilot[None]) -> LogScreen:
    screen = pilot.app.screen
    assert isinstance(screen, LogScreen)
    return screen


def told(form: Screen[Any]) -> str:
    return str(form.query_one("#form-told", Static).content)


def row(screen: LogScreen, index: int) -> list[str]:
    return [str(text).rstrip() for text in screen.table.get_row_at(index)]


async def test_an_empty_log_says_how_to_begin(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        screen = log(pilot)
        assert not screen.table.display
        assert "press Enter to practise" in str(screen.query_one("#log-empty", Static).content)
        assert not (app_folders.data / "practice.db").exists()


async def test_a_single_attempt_is_told_as_one(app_folders: Folders, practised: Practised) -> None:
    note_attempt(app_folders, practised(0))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        assert log(pilot).query_one(Heading).right == "1 attempt, every score"


async def test_attempts_stand_newest_first_with_their_beat(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0, outcome=Outcome.SHAKY))
    note_attempt(app_folders, practised(5, tempo=Fraction(135, 2), outcome=Outcome.SECURE))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        screen = log(pilot)
        assert row(screen, 0)[:5] == [
            "2026-03-01 18:25",
            "Cello",
            "13–20",
            "67.5 dotted quarter",
            "secure",
        ]
        assert row(screen, 1)[4] == "shaky"
        assert screen.query_one(Heading).right == "2 attempts, every score"


async def test_the_hour_is_the_one_on_the_players_wall_when_it_was_played(
    app_folders: Folders, practised: Practised
) -> None:
    abroad = datetime(2026, 7, 1, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    note_attempt(app_folders, practised(at=abroad))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        assert row(log(pilot), 0)[0] == "2026-07-01 23:30"


async def test_the_attempt_under_the_cursor_is_told_in_full(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0, repetitions=0, note="bow arm tired"))
    note_attempt(app_folders, practised(5, repetitions=3))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        told = log(pilot).query_one("#log-attempt", Static)
        assert "Study in two meters" in str(told.content)
        assert "dotted quarter = 60 · mine + beat · 3 times · held" in str(told.content)
        await pilot.press("down")
        assert "broken off · held · bow arm tired" in str(told.content)


async def test_f_shows_only_the_score_that_is_open(
    demo: Path, app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0))
    note_attempt(app_folders, practised(5, score_digest=digest(demo.read_bytes())))
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("l")
        assert len(log(pilot).lines) == 2
        await pilot.press("f")
        assert len(log(pilot).lines) == 1
        await pilot.press("f")
        assert len(log(pilot).lines) == 2
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, MapScreen)


async def test_f_without_an_open_score_says_why_nothing_changes(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "f")
        assert "No score is open" in log(pilot).query_one(Notice).text


async def test_a_score_that_was_put_away_is_no_longer_this_score(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("escape", "l", "f")
        assert "No score is open" in log(pilot).query_one(Notice).text


async def test_a_damaged_log_is_told_in_a_sentence(app_folders: Folders) -> None:
    app_folders.data.mkdir(parents=True)
    (app_folders.data / "practice.db").write_bytes(b"not a log" * 500)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        assert "practice.db" in log(pilot).query_one(Notice).text


async def test_l_on_the_log_does_not_open_a_second_one(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "l", "escape")
        assert not isinstance(pilot.app.screen, LogScreen)


async def test_an_attempt_is_corrected_and_the_correction_undone(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0, outcome=Outcome.SHAKY, note="late"))
    said = practised(5, outcome=Outcome.SECURE)
    note_attempt(app_folders, said)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "c")
        form = pilot.app.screen
        assert isinstance(form, LogFormScreen)
        await pilot.press(*"perfect", "enter")
        assert "“perfect” is not an outcome" in told(form)
        await pilot.press("ctrl+z", *"held", "down", *"rushed a bit", "enter")
        screen = log(pilot)
        assert [row(screen, index)[4] for index in (0, 1)] == ["held", "shaky"]
        assert "rushed" in str(screen.query_one("#log-attempt", Static).content)
        with Log.read_only(app_folders.data) as journal:
            assert [one.earlier.outcome for one in journal.corrections(said.id)] == ["secure"]
        await pilot.press("u")
        assert row(screen, 0)[4] == "secure"
        await pilot.press("u")
        assert "Nothing was corrected" in screen.query_one(Notice).text


async def test_an_attempt_is_deleted_and_brought_back(
    app_folders: Folders, practised: Practised
) -> None:
    noted = [practised(minute) for minute in (0, 5, 10)]
    for one in noted:
        note_attempt(app_folders, one)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "down", "d")
        screen = log(pilot)
        assert [line.id for line in screen.lines] == [noted[2].id, noted[0].id]
        assert screen.table.cursor_row == 1
        assert "Press u to bring it back" in screen.query_one(Notice).text
        await pilot.press("delete", "delete", "d")
        assert not screen.lines
        assert not screen.table.display
        await pilot.press("u", "u", "u")
        assert [line.id for line in screen.lines] == [one.id for one in noted[::-1]]
        await pilot.press("escape")
    with Log.read_only(app_folders.data) as journal:
        assert journal.attempts() == noted[::-1]
        assert journal.check() == []


async def test_scales_and_lessons_stand_in_the_log_and_are_mended_too(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "A", *"les", "left", *"scal", "down", *"20")
        await pilot.press("down", "down", *"in thirds")
        assert "scales · 20 minutes · in thirds" in told(pilot.app.screen)
        await pilot.press("enter")
        screen = log(pilot)
        assert row(screen, 0)[3] == "20 min scales"
        noted_at = row(screen, 0)[0]
        assert screen.query_one(Heading).right == "1 attempt, 1 other entry, every score"
        await pilot.press("c", "down", *["right"] * 5, "down", "left", "enter")
        assert row(screen, 0)[0] < noted_at
        assert row(screen, 0)[3] == "25 min scales"
        await pilot.press("d")
        assert len(screen.lines) == 1
        await pilot.press("u", "u")
        assert row(screen, 0)[3] == "20 min scales"


async def test_own_words_are_typed_emptied_and_put_back(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0, note="too soft"))
    async with CompanionApp(app_folders).run_test(size=(60, 20)) as pilot:
        await pilot.press("l", "c")
        form = pilot.app.screen
        assert isinstance(form, LogFormScreen)
        await pilot.press("down", *["backspace"] * 4, *"late, then soft")
        assert form.state.note == "too late, then soft"
        await pilot.press("delete", *"late")
        assert form.state.note == "late"
        await pilot.press("ctrl+z")
        assert form.state.note == "too soft"
        assert [one.size.height for one in form.query(FormRow)] == [1, 1]
        await pilot.press("enter", "u")
        assert "Nothing was corrected" in log(pilot).query_one(Notice).text


async def test_a_passage_practised_away_from_the_screen_is_added(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("l", "a")
        form = pilot.app.screen
        assert isinstance(form, LogFormScreen)
        assert "Say which bars" in told(form)
        await pilot.press(*"viola", "down", *"B-B+7", "down", *"60", "down")
        assert "it is not said how it went" in told(form)
        await pilot.press(*"held", "down", *"tomorrow")
        assert "in the future" in told(form)
        await pilot.press(*["backspace"] * 8, *"yesterday 18:20", "down", *"12", "down")
        form.post_message(Paste("in the\npark"))
        await pilot.press("enter")
        (line,) = log(pilot).lines
        assert isinstance(line, Attempt)
        assert (line.first_bar, line.last_bar, line.seconds, line.layers) == (14, 21, 720, ())
        assert f"{line.at:%H:%M}" == "18:20"
        assert "Added: " in log(pilot).query_one(Notice).text


async def test_what_fell_apart_away_from_the_screen_is_told_in_minutes(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("l", "a")
        form = pilot.app.screen
        assert isinstance(form, LogFormScreen)
        await pilot.press(*"viola", "down", *"B-B+7", "down", *"60", "down")
        for key, outcome in KEYS.items():
            await pilot.press("delete", key)
            assert f" · {outcome.value}" in told(form)
        await pilot.press("delete", "7")
        assert "“7” is not an outcome" in told(form)
        await pilot.press("delete", "1", "down", "down")
        assert "no click · once · fell apart" in told(form)
        await pilot.press(*"10", "enter")
        said = str(log(pilot).query_one("#log-attempt", Static).content)
        assert "dotted quarter = 60 · no click · 10 minutes · fell apart" in said


async def test_without_a_score_no_passage_can_be_added(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", "a", "c", "d")
        assert "No score is open" in log(pilot).query_one(Notice).text


async def test_a_long_log_is_read_a_stretch_at_a_time(
    app_folders: Folders, practised: Practised
) -> None:
    with Log.open(app_folders.data) as journal:
        for minute in range(AT_ONCE + 5):
            journal.note(practised(minute))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        screen = log(pilot)
        assert len(screen.lines) == screen.table.row_count == AT_ONCE
        assert screen.query_one(Heading).right == f"the latest {AT_ONCE} lines, every score"
        await pilot.press("end")
        await pilot.pause()
        assert screen.table.scroll_x == 0
        assert len(screen.lines) == screen.table.row_count == AT_ONCE + 5
        assert screen.query_one(Heading).right == f"{AT_ONCE + 5} attempts, every score"
        await pilot.press("end")
        await pilot.pause()
        assert row(screen, AT_ONCE + 4)[0] == "2026-03-01 18:20"


async def test_a_row_that_cannot_be_read_is_shown_deleted_and_brought_back(
    app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0))
    note_attempt(app_folders, practised(5))
    with closing(sqlite3.connect(app_folders.data / FILE_NAME)) as other, other:
        other.execute("UPDATE attempt SET seconds = 1e18 WHERE seq = 1")
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l")
        screen = log(pilot)
        assert row(screen, 0)[0] == "cannot be read"
        assert row(screen, 1)[1] == "Cello"
        assert "it lasted 1e+18 seconds" in str(screen.query_one("#log-attempt", Static).content)
        await pilot.press("c")
        assert "only be deleted" in str(screen.query_one(Notice).content)
        await pilot.press("d")
        assert screen.table.row_count == 1
        await pilot.press("u")
        assert row(screen, 0)[0] == "cannot be read"


async def test_nothing_a_stranger_wrote_reaches_the_terminal_as_an_order(
    app_folders: Folders, practised: Practised
) -> None:
    hostile = "Trio\x1b]0;owned\x07\x9b2J\u202e end"
    note_attempt(app_folders, practised(0, note=hostile, part_name=hostile, score_title=hostile))
    async with CompanionApp(app_folders).run_test(size=(140, 30)) as pilot:
        await pilot.press("l")
        widgets = (log(pilot).table, log(pilot).query_one("#log-attempt", Static))
        drawn = "".join(
            strip.text for one in widgets for strip in one.render_lines(Region(0, 0, 140, 4))
        )
        assert "owned" in drawn
        assert not CONTROL.search(drawn)
