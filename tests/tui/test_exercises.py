"""Exercises in the app: what is assigned and how far, and the way to the stand.

How a lesson goes (assigned, in progress, done; a due day) is common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from textual.events import Paste
from textual.pilot import Pilot
from textual.widgets import Input, Static

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.exercise.assignment import Assignment
from companion.exercise.file.exercise_file import read_exercise
from companion.files.folders import Folders
from companion.score.passage import passage
from companion.session.assigned_exercises import assigned
from companion.session.goals import goal_for, set_goal
from companion.session.open_exercise import open_exercise
from companion.session.open_score import choose_part, open_for_practice
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.exercise_sheet_screen import ExerciseSheetScreen
from companion.tui.screens.exercises_screen import ExercisesScreen
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from tests.session.teacher_and_student import note, teacher

VIOLA = 2
WITHOUT_A_DAY = """
format = 1
title = "Two hands"
[[drill]]
pattern = \"\"\"
Clap: 2/4 e3*3 e3*3 | h
Step: 2/4 e e e e | h
\"\"\"
tempo = "60 to 72 by 4"
layers = "beat, theirs"
fades = "theirs out over 4"
silences = "every 4"
listen = "Do you meet on the beat?"
"""
LONG_AGO = WITHOUT_A_DAY.replace('"Two hands"', '"The mill"\ndue = 2020-02-01')


def written(folder: Path, text: str, name: str = "lesson.toml") -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


def ferry(folder: Path, folders: Folders) -> Assignment:
    """The exercise of two drills, in the list."""
    return open_exercise(teacher(folder / "teacher"), folders)[0]


async def settle(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    await settle(pilot)


async def listed(pilot: Pilot[None]) -> ExercisesScreen:
    await press(pilot, "x")
    screen = pilot.app.screen
    assert isinstance(screen, ExercisesScreen)
    return screen


def said(pilot: Pilot[None]) -> str:
    return pilot.app.screen.query_one(Notice).text


async def test_an_empty_list_offers_the_built_in_ones_easy_first(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        assert screen.list.texts[0].startswith("Nothing is assigned.")
        levels = [one.exercise.level for one in screen.built_in]
        assert len(levels) >= 40
        assert levels[0] == 1
        assert levels == sorted(levels, key=lambda level: level or 0)


async def test_a_built_in_one_is_read_first_and_then_taken(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        title = screen.built_in[0].exercise.title
        await press(pilot, "enter")
        sheet = pilot.app.screen
        assert isinstance(sheet, ExerciseSheetScreen)
        assert sheet.told.startswith(title)
        assert "goal: held at quarter = 60" in sheet.told
        await press(pilot, "enter")
        assert pilot.app.screen is screen
        assert said(pilot) == f"Added to your list: {title}."
        assert screen.list.texts[0] == f"1 {title} · assigned"


async def test_the_cursor_goes_with_what_was_added(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        first = screen.built_in[0].exercise.title
        await press(pilot, "enter", "enter", "end", "pageup")
        here = screen.list.row
        assert here.built_in is not None and here.built_in.exercise.title != first
        await press(pilot, "enter", "enter")
        added = screen.list.row.assigned
        assert added is not None and not screen.list.row.drill
        assert added.assignment.exercise.title == here.built_in.exercise.title
        await press(pilot, "enter")
        sheet = pilot.app.screen
        assert isinstance(sheet, ExerciseSheetScreen)
        assert sheet.told.startswith(here.built_in.exercise.title)


async def test_drills_of_one_exercise_and_levels_are_told_apart(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test(size=(140, 40)) as pilot:
        screen = await listed(pilot)
        await press(pilot, "enter", "enter")
        drills = [
            line for line, row in zip(screen.list.texts, screen.list.rows, strict=True) if row.drill
        ]
        assert len(set(drills)) == len(drills) == 3
        assert drills[0].startswith("Clap bars 1–4, all three: held at")
        library = [
            line
            for line, row in zip(screen.list.texts, screen.list.rows, strict=True)
            if row.built_in
        ]
        assert all(line.startswith("level ") for line in library)


async def test_states_and_goals_stand_in_words(tmp_path: Path, app_folders: Folders) -> None:
    assignment = ferry(tmp_path, app_folders)
    note(app_folders, assignment.targets[1], 68)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        assert screen.list.texts[0] == "1 The ferry · in progress · due 21 May 2030"
        assert screen.list.texts[2].endswith("2 times: 1 attempt, so far at 68")
        assert screen.query_one(Heading).right == "1 in progress"


async def test_what_is_late_is_called_overdue(tmp_path: Path, app_folders: Folders) -> None:
    open_exercise(written(tmp_path, LONG_AGO), app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        assert screen.list.texts[0] == "1 The mill · assigned · due 1 February 2020 (overdue)"
        assert screen.query_one(Heading).right == "1 assigned, 1 overdue"


async def test_what_was_reached_is_done(tmp_path: Path, app_folders: Folders) -> None:
    assignment, _ = open_exercise(written(tmp_path, LONG_AGO), app_folders)
    note(app_folders, assignment.targets[0], 72)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        assert screen.list.texts[0] == "1 The mill · done · due 1 February 2020"
        assert screen.list.texts[1].endswith(": reached")


async def test_a_drill_begins_as_the_teacher_asked(tmp_path: Path, app_folders: Folders) -> None:
    open_exercise(written(tmp_path, WITHOUT_A_DAY), app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "down", "enter")
        assert isinstance(pilot.app.screen, PassageScreen)
        assert "quarter = 60 to 72 by 4" in said(pilot)
        assert "theirs out over 4" in said(pilot)
        assert "Do you meet on the beat?" in said(pilot)
        await press(pilot, "d")
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen) and screen.drill is not None
        aim = str(screen.query_one("#drill-aim", Static).render())
        assert aim.startswith("Goal: held at ")
        setting = screen.drill.setting
        assert setting.tempo == Fixed(Fraction(60))
        assert setting.ladder == Ladder(Fraction(60), Fraction(72), Fraction(4))
        assert setting.layers == (Layer.BEAT, Layer.THEIRS)
        assert len(setting.silences) == 1


async def test_other_bars_than_asked_are_drilled_as_any(
    tmp_path: Path, app_folders: Folders
) -> None:
    open_exercise(written(tmp_path, WITHOUT_A_DAY), app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "down", "enter", "minus", "d")
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen) and screen.drill is not None
        assert screen.drill.setting.ladder is None
        assert not screen.query("#drill-aim")


async def test_a_drill_from_a_score_opens_its_own_bars(
    tmp_path: Path, app_folders: Folders
) -> None:
    assignment = ferry(tmp_path, app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "down", "down", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, PassageScreen)
        bars = assignment.targets[1].bars
        assert (screen.passage.first, screen.passage.last) == (bars.first, bars.last)
        assert screen.passage.part_name == "Viola"


async def test_off_the_list_only_when_said_twice(tmp_path: Path, app_folders: Folders) -> None:
    ferry(tmp_path, app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "c")
        assert "Press c again" in said(pilot)
        assert len(assigned(app_folders).assigned) == 1
        await press(pilot, "c")
        assert said(pilot) == "Removed: The ferry."
        assert not assigned(app_folders).assigned


async def test_a_question_left_alone_is_asked_again(tmp_path: Path, app_folders: Folders) -> None:
    ferry(tmp_path, app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "c", "down", "down", "down", "up", "c")
        assert len(assigned(app_folders).assigned) == 1
        assert "Press c again" in said(pilot)


async def test_a_typed_path_is_opened_and_a_wrong_one_refused(
    tmp_path: Path, app_folders: Folders
) -> None:
    path = written(tmp_path, WITHOUT_A_DAY)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        await press(pilot, "o")
        field = pilot.app.screen.query_one(Input)
        field.value = str(path) + "x"
        await press(pilot, "enter")
        assert pilot.app.screen is not screen
        field.value = str(path)
        await press(pilot, "enter")
        assert pilot.app.screen is screen
        assert said(pilot) == "Added to your list: Two hands."


async def test_a_broken_file_is_told_by_its_place(tmp_path: Path, app_folders: Folders) -> None:
    path = written(tmp_path, WITHOUT_A_DAY.replace("layers", "layer"))
    async with CompanionApp(app_folders).run_test() as pilot:
        await listed(pilot)
        await press(pilot, "o")
        pilot.app.screen.query_one(Input).value = str(path)
        await press(pilot, "enter")
        assert "lesson.toml:10:1" in said(pilot)
        assert not assigned(app_folders).assigned


async def test_the_map_leads_there_too(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.pause()
        assert isinstance(pilot.app.screen, MapScreen)
        await listed(pilot)


async def test_a_passage_is_written_down_as_an_exercise(
    demo: Path, own_folder: Path, app_folders: Folders
) -> None:
    open_score = choose_part(open_for_practice(demo, app_folders), app_folders, VIOLA).open_score
    set_goal(app_folders, goal_for(open_score, "Viola", "13-18", Fraction(66), None))
    chosen = passage(open_score.clock, VIOLA, 14, 19)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.push_screen(PassageScreen(open_score, chosen, app_folders))
        await press(pilot, "x")
        await press(pilot, "delete", *"The bridge", "down", "delete", *"~/bridge", "enter")
        assert said(pilot) == f"Written: {own_folder / 'bridge.toml'}"
    exercise = read_exercise((own_folder / "bridge.toml").read_bytes(), "bridge.toml").exercise
    assert exercise.title == "The bridge"
    assert (exercise.drills[0].part, exercise.drills[0].bars) == ("Viola", "13-18")
    assert exercise.drills[0].goal.tempo == 66
    assert (own_folder / demo.name).read_bytes() == demo.read_bytes()
    opened, _ = open_exercise(own_folder / "bridge.toml", app_folders)
    assert (opened.targets[0].bars.first, opened.targets[0].bars.last) == (14, 19)


async def test_a_file_of_that_name_is_not_overwritten(
    demo: Path, own_folder: Path, app_folders: Folders
) -> None:
    (own_folder / "bridge.toml").write_text("mine", "utf-8")
    open_score = open_for_practice(demo, app_folders)
    chosen = passage(open_score.clock, VIOLA, 14, 19)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.push_screen(PassageScreen(open_score, chosen, app_folders))
        await press(pilot, "x")
        await press(pilot, "down", "delete", *"~/bridge.toml", "enter")
        told = pilot.app.screen.query_one("#form-told", Static)
        assert "already exists" in str(told.content)
    assert (own_folder / "bridge.toml").read_text("utf-8") == "mine"


@pytest.mark.parametrize("name", ["n" * 300, "nul\0", "/proc/none/x"])
async def test_a_name_that_no_file_can_have_is_told(
    demo: Path,
    own_folder: Path,
    app_folders: Folders,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
) -> None:
    monkeypatch.chdir(own_folder)
    open_score = open_for_practice(demo, app_folders)
    chosen = passage(open_score.clock, VIOLA, 14, 19)
    async with CompanionApp(app_folders).run_test() as pilot:
        for key in ("x", "W"):
            await pilot.app.push_screen(PassageScreen(open_score, chosen, app_folders))
            await press(pilot, key)
            if key == "W":
                await press(pilot, "enter")
            form = pilot.app.screen
            assert isinstance(form, FormScreen)
            if key == "x":
                await press(pilot, "down", "delete")
                assert form.focused is not None
                form.focused.post_message(Paste(name))
            else:
                form.line.value = name
            await pilot.pause()
            await press(pilot, "enter")
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
            if pilot.app.screen is form:
                assert str(form.query_one("#form-told", Static).content)
                await press(pilot, "escape")
    assert {one.name for one in own_folder.iterdir()} <= {"companion"}


async def test_the_built_in_ones_are_shown_for_an_instrument(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        screen = await listed(pilot)
        await press(pilot, "i", "i")
        assert screen.list.texts[1] == "Built-in exercises for viola, by level (1 to 9)"
        at = next(n for n, text in enumerate(screen.list.texts) if "open strings" in text)
        assert screen.list.texts[at].endswith("a fifth lower C3–A4")
        screen.list.highlighted = at
        await press(pilot, "enter")
        sheet = pilot.app.screen
        assert isinstance(sheet, ExerciseSheetScreen)
        assert "(viola)" in sheet.told and "Viola, bars 1–8" in sheet.told
        assert "e3" not in sheet.told
        assert len(sheet.query(PassageLanes)) == 3
        assert all("Viola" in lanes.text for lanes in sheet.query(PassageLanes))
        await press(pilot, "enter")
        assert "(viola)" in screen.list.texts[0]
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await listed(pilot)
        assert screen.instrument is not None and screen.instrument.name == "viola"
