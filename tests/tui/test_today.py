"""Today on the screen: read, changed, accepted, and the way from an item to its bars."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from companion.click.plan.tempo_plan import Ladder
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import now
from companion.session.goals import set_goal_by
from companion.session.open_exercise import open_exercise
from companion.session.todays_plan import plan_of
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.exercise_passage_screen import ExercisePassageScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.today_screen import TodayScreen
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from tests.session.practised import note, tried
from tests.session.teacher_and_student import teacher
from tests.tui.practised_weeks import CONCERT, clock, practised_viola, viola


async def settled(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def shown(pilot: Pilot[None]) -> TodayScreen:
    if not isinstance(pilot.app.screen, TodayScreen):
        await pilot.press("y")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, TodayScreen)
    return screen


def rows(screen: TodayScreen) -> list[str]:
    return [str(option.prompt) for option in screen.list.options]


def labels(screen: TodayScreen) -> list[str]:
    assert screen.shown is not None
    return [item.label for item in screen.shown.plan.items]


def said(screen: TodayScreen) -> str:
    return screen.query_one(Notice).text


async def test_every_item_says_how_fast_and_why(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test(size=(80, 24)) as pilot:
        screen = await shown(pilot)
        told = rows(screen)
        assert "warm-up: something easy and slow first" in told[0]
        assert "Viola bars 29–32 · quarter = 41" in told[1]
        why = " ".join(told[1].split())
        assert "new: begin slowly, the goal is quarter = 69; 34 days to the concert" in why
        assert any("break: after" in row for row in told)
        assert screen.query_one(Heading).title == "Today · 22 March 2026, 45 minutes"
        assert screen.query_one(Heading).right == "0 of 3 passages played"
        assert screen.list.number == 2


async def test_an_empty_log_says_how_to_begin_and_leaves_no_file(app_folders: Folders) -> None:
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        assert not screen.list.display
        assert "press G there" in str(screen.query_one("#today-empty", Static).content)
        assert not (app_folders.data / "practice.db").exists()


async def test_with_an_empty_log_the_score_that_is_open_makes_the_plan(
    demo: Path, app_folders: Folders
) -> None:
    viola(app_folders)
    async with CompanionApp(app_folders, demo, clock).run_test() as pilot:
        screen = await shown(pilot)
        await settled(pilot)
        assert "Viola bars 13–16" in rows(screen)[1]
        assert "new: ~hard; begin slowly" in rows(screen)[1]
        assert "Nothing else is due" in said(screen)
        await pilot.press("f")
        await settled(pilot)
        assert not screen.list.display
        await pilot.press("f")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        opened = pilot.app.screen
        assert isinstance(opened, PassageScreen)
        assert (opened.passage.first, opened.passage.last) == (14, 17)


async def test_without_a_part_of_mine_it_is_asked_for(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo, clock).run_test() as pilot:
        screen = await shown(pilot)
        assert "say first which part" in str(screen.query_one("#today-empty", Static).content)


async def test_minutes_are_changed_by_fives_and_refused_beyond_reason(
    app_folders: Folders,
) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        await pilot.press("plus", "plus")
        await settled(pilot)
        assert "55 minutes" in screen.query_one(Heading).title
        for _ in range(10):
            await pilot.press("minus")
        await settled(pilot)
        assert "5 minutes" in screen.query_one(Heading).title
        await pilot.press("minus")
        await settled(pilot)
        assert "0 minutes cannot be planned" in said(screen)
        await pilot.press("plus")
        await settled(pilot)
        assert "10 minutes" in screen.query_one(Heading).title


async def test_a_plan_is_moved_skipped_and_accepted(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        before = labels(screen)
        await pilot.press("d")
        assert labels(screen)[1:3] == [before[2], before[1]]
        assert screen.list.number == 3
        await pilot.press("u", "u", "u", "u")
        assert labels(screen)[0] == before[1]
        await pilot.press("s", "a")
        assert labels(screen)[:2] == [before[0], before[2]]
        assert screen.query_one(Heading).right.endswith(", accepted")
        kept = plan_of(app_folders, clock().date())
        assert kept is not None
        assert kept.is_accepted
        assert [item.label for item in kept.items] == labels(screen)


async def test_skipping_one_of_two_visits_leaves_all_others(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        before = labels(screen)
        assert before.count(before[1]) == 2
        await pilot.press("s")
        assert labels(screen) == before[:1] + before[2:]
        assert "once more" not in " ".join(rows(screen)[labels(screen).index(before[1])].split())


async def test_what_was_skipped_stays_away_when_the_minutes_change(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        gone = labels(screen)[1]
        while gone in labels(screen):
            screen.list.highlighted = labels(screen).index(gone)
            await pilot.press("s")
        for key in ("plus", "plus", "minus"):
            await pilot.press(key)
            await settled(pilot)
            assert screen.shown is not None
            assert any(item.is_passage for item in screen.shown.plan.items)
            assert gone not in labels(screen)
        await pilot.press("n")
        await settled(pilot)
        assert gone in labels(screen)


async def test_when_all_is_skipped_it_says_so_and_how_to_begin_again(
    app_folders: Folders,
) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test(size=(80, 24)) as pilot:
        screen = await shown(pilot)
        while screen.shown is not None and any(i.is_passage for i in screen.shown.plan.items):
            items = screen.shown.plan.items
            screen.list.highlighted = next(n for n, i in enumerate(items) if i.is_passage)
            await pilot.press("s")
        assert screen.list.display, "warm-up and music stay"
        assert "All skipped" in str(screen.query_one("#today-notes", Static).content)
        while labels(screen):
            await pilot.press("s")
        assert not screen.list.display
        await pilot.press("s", "a")
        empty = str(screen.query_one("#today-empty", Static).content)
        assert empty == "All skipped; n makes a new plan."
        keys = str(screen.query_one(KeyLine).render())
        assert "n New" in keys
        assert "Skip" not in keys
        await pilot.press("n")
        await settled(pilot)
        assert any(labels(screen))


async def test_an_accepted_plan_is_there_the_next_time(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        await pilot.press("s", "a")
        left = labels(screen)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, OpeningScreen)
        assert labels(await shown(pilot)) == left
        await pilot.press("n")
        await settled(pilot)
        assert isinstance(pilot.app.screen, TodayScreen)
        assert labels(pilot.app.screen) != left


async def test_an_item_is_replaced_by_what_would_have_come_next(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        for _ in range(7):
            await pilot.press("minus")
        await settled(pilot)
        before = labels(screen)
        await pilot.press("r")
        assert labels(screen) != before
        await pilot.press("home", "r")
        assert "nothing to put in the place of 1" in said(screen)


async def test_enter_opens_the_bars_and_the_drill_climbs_the_ladder(
    app_folders: Folders,
) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        await pilot.press("enter")
        await settled(pilot)
        opened = pilot.app.screen
        assert isinstance(opened, PassageScreen)
        assert (opened.passage.first, opened.passage.last) == (30, 33)
        assert opened.tempo == Ladder(Fraction(41), Fraction(49), Fraction(4))
        told = opened.query_one(Notice).text
        assert told == "Today's plan: quarter = 41 to 49, up by 4 each time it holds."
        app = pilot.app
        assert isinstance(app, CompanionApp)
        assert app.open_score is opened.open_score
        await pilot.press("d")
        await settled(pilot)
        drill = pilot.app.screen
        assert isinstance(drill, DrillScreen)
        assert drill.drill is not None
        assert drill.drill.bpm == 41
        assert drill.drill.setting.ladder == opened.tempo
        await pilot.press("escape", "plus")
        assert opened.tempo is None
        await pilot.press("escape")
        assert pilot.app.screen is screen
        assert app.open_score is None


async def test_what_was_played_meanwhile_is_ticked_off(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        await pilot.press("enter")
        await settled(pilot)
        note(app_folders, [tried(open_score, 20, (30, 33), 41)])
        await pilot.press("escape")
        await settled(pilot)
        assert "✓" in rows(screen)[1]
        assert screen.query_one(Heading).right == "1 of 3 passages played"


async def test_a_goal_alone_is_enough_to_find_its_score_again(
    app_folders: Folders, tmp_path: Path
) -> None:
    open_score = viola(app_folders)
    set_goal_by(app_folders, open_score, "viola", "13-16", Fraction(69), CONCERT)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        await shown(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, PassageScreen)


async def test_an_assigned_exercise_has_its_minutes_and_opens_as_the_teacher_asked(
    app_folders: Folders, tmp_path: Path
) -> None:
    practised_viola(app_folders)
    open_exercise(teacher(tmp_path / "teacher"), app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        row = next(row for row in rows(screen) if "The ferry" in row)
        assert "exercise: due 21 May 2030, the goal is quarter = 60" in " ".join(row.split())
        screen.list.highlighted = rows(screen).index(row)
        await pilot.press("enter")
        await settled(pilot)
        opened = pilot.app.screen
        assert isinstance(opened, ExercisePassageScreen)
        assert "Exercise The ferry 1" in opened.query_one(Notice).text


async def test_a_rest_cannot_be_opened(app_folders: Folders) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        screen = await shown(pilot)
        await pilot.press("home", "enter")
        assert "nothing to open for the warm-up" in said(screen)


async def test_what_an_accepted_plan_left_comes_first_tomorrow(
    app_folders: Folders,
) -> None:
    practised_viola(app_folders)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        await shown(pilot)
        await pilot.press("a")
    tomorrow = CompanionApp(app_folders, clock=lambda: clock() + timedelta(days=1))
    async with tomorrow.run_test() as pilot:
        assert "not played on 22 March 2026" in rows(await shown(pilot))[1]


async def test_a_damaged_log_is_told_in_a_sentence(app_folders: Folders) -> None:
    app_folders.data.mkdir(parents=True)
    (app_folders.data / "practice.db").write_bytes(b"not a log" * 500)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        assert "practice.db" in said(await shown(pilot))


async def test_enter_on_a_row_opens_its_ladder_at_the_step_of_today(
    demo: Path, app_folders: Folders
) -> None:
    viola(app_folders)
    async with CompanionApp(app_folders, demo).run_test(size=(80, 24)) as pilot:
        for held in (0, 1, 2):
            screen = await shown(pilot)
            await settled(pilot)
            await pilot.press("enter")
            await settled(pilot)
            passage = pilot.app.screen
            assert isinstance(passage, PassageScreen)
            planned = passage.tempo
            assert isinstance(planned, Ladder)
            await pilot.press("enter")
            await settled(pilot)
            drill = pilot.app.screen
            assert isinstance(drill, DrillScreen) and drill.drill is not None
            assert drill.drill.setting.ladder == planned
            assert drill.drill.bpm == planned.tempos[held]
            assert ("The ladder goes on at" in drill.query_one(Notice).text) is (held > 0)
            with Log.open(app_folders.data) as log:
                first = drill.drill
                bars = (first.passage.first, first.passage.last)
                tempo = int(planned.tempos[held])
                log.note(replace(tried(first.open_score, 0, bars, tempo), at=now()))
            await pilot.press("escape", "escape")
            await settled(pilot)
            assert pilot.app.screen is screen
