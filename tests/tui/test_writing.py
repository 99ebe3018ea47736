"""Files written from the screens: the part, the click, a handout, a report."""

from __future__ import annotations

import wave
from pathlib import Path

from mido import MidiFile
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import OptionList, Static

from companion.files.folders import Folders
from companion.publish.report.report_file import read_report
from companion.score.passage import passage
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.writing_screen import WritingScreen
from companion.tui.widgets.notice import Notice
from tests.session.practised import VIOLA, note, tried
from tests.tui.practised_weeks import viola


async def chosen(pilot: Pilot[None], beginning: str) -> WritingScreen[object]:
    """Press W and choose what begins so."""
    await pilot.press("W")
    listed = pilot.app.screen.query_one(OptionList)
    names = [str(one.prompt) for one in listed.options]
    listed.highlighted = next(i for i, name in enumerate(names) if name.startswith(beginning))
    await pilot.press("enter")
    assert isinstance(pilot.app.screen, WritingScreen)
    return pilot.app.screen


async def written(pilot: Pilot[None], path: Path) -> str:
    """Name the file, press Enter and wait; what the screen below says then."""
    screen = pilot.app.screen
    assert isinstance(screen, FormScreen)
    screen.line.value = str(path)
    await pilot.press("enter")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    return pilot.app.screen.query_one(Notice).text


async def opened(pilot: Pilot[None], folders: Folders) -> PassageScreen:
    open_score = viola(folders)
    screen = PassageScreen(open_score, passage(open_score.clock, VIOLA, 14, 17), folders)
    await pilot.app.push_screen(screen)
    return screen


async def test_a_part_is_written_in_the_format_that_is_chosen(
    app_folders: Folders, tmp_path: Path
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await opened(pilot, app_folders)
        form = await chosen(pilot, "Viola, or another part")
        form.line.value = str(tmp_path / "mine.pdf")
        await pilot.press("down", "right")
        assert form.line.value == str(tmp_path / "mine.musicxml")
        said = await written(pilot, tmp_path / "mine.musicxml")
        assert pilot.app.screen is screen
        assert said.startswith(f"Written: {tmp_path / 'mine.musicxml'}: Viola")
        assert "<part-name>Viola" in (tmp_path / "mine.musicxml").read_text("utf-8")


async def test_a_file_that_is_there_is_replaced_only_on_the_second_enter(
    app_folders: Folders, tmp_path: Path
) -> None:
    out = tmp_path / "mine.mid"
    out.write_bytes(b"older")
    async with CompanionApp(app_folders).run_test() as pilot:
        await opened(pilot, app_folders)
        form = await chosen(pilot, "Viola, or another part")
        form.line.value = str(out)
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen is form
        assert out.read_bytes() == b"older"
        await written(pilot, out)
        assert len(MidiFile(out).tracks) >= 1


async def test_what_cannot_be_written_is_refused_in_the_form(
    app_folders: Folders, tmp_path: Path
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await opened(pilot, app_folders)
        form = await chosen(pilot, "Viola, or another part")
        form.line.value = str(tmp_path / "mine.doc")
        await pilot.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert pilot.app.screen is form
        assert form.problem.startswith("a part cannot be written as “.doc”")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, PassageScreen)


async def test_a_home_folder_of_nobody_is_told_while_it_is_typed(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await opened(pilot, app_folders)
        form = await chosen(pilot, "A report")
        form.line.value = "~ /week.json"
        await pilot.pause()
        assert str(form.query_one("#form-told", Static).content).startswith("! ~ /week.json: there")
        form.line.value = "week.json"
        await pilot.pause()
        assert str(form.query_one("#form-told", Static).content).startswith("Writes the practice")


async def test_escape_stops_what_is_being_written(app_folders: Folders, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    async with CompanionApp(app_folders).run_test() as pilot:
        await opened(pilot, app_folders)
        form = await chosen(pilot, "A handout")
        form.line.value = str(out)
        for key in ("enter", "escape"):  # before it can be done
            pilot.app.post_message(Key(key, None))
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert pilot.app.screen is form
        assert not out.exists()


async def test_a_report_is_written_with_its_page(app_folders: Folders, tmp_path: Path) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await opened(pilot, app_folders)
        note(app_folders, [tried(screen.open_score, 1, (14, 17), 60)])
        await chosen(pilot, "A report")
        await pilot.press(*"Ada")
        said = await written(pilot, tmp_path / "week.json")
        assert said.endswith(str(tmp_path / "week.html"))
        assert read_report((tmp_path / "week.json").read_bytes(), "week.json").name == "Ada"
        assert "Ada" in (tmp_path / "week.html").read_text("utf-8")


async def test_the_click_is_written_as_the_drill_is_set(
    app_folders: Folders, tmp_path: Path
) -> None:
    """Four bars of two beats at 60, then at 120, after a bar of count-in at 60: 8 + 4 + 2
    seconds, and what the last stroke rings."""
    open_score = viola(app_folders)
    drill = DrillScreen(open_score, passage(open_score.clock, VIOLA, 14, 17), app_folders)
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        await pilot.app.push_screen(drill)
        await pilot.app.workers.wait_for_complete()
        await pilot.press("p")
        asked = pilot.app.screen
        assert isinstance(asked, FormScreen)
        asked.line.value = "60 to 120 by 60"
        await pilot.press("enter")
        await pilot.app.workers.wait_for_complete()
        await chosen(pilot, "This click")
        said = await written(pilot, tmp_path / "click.wav")
        assert pilot.app.screen is drill
        assert "Viola, bars 13–16" in said
        with wave.open(str(tmp_path / "click.wav")) as sound:
            seconds = sound.getnframes() / sound.getframerate()
        assert 14 <= seconds < 15


async def test_a_page_beside_the_report_is_asked_about_too(
    app_folders: Folders, tmp_path: Path
) -> None:
    page = tmp_path / "week.html"
    page.write_bytes(b"mine")
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await opened(pilot, app_folders)
        note(app_folders, [tried(screen.open_score, 1, (14, 17), 60)])
        form = await chosen(pilot, "A report")
        form.line.value = str(tmp_path / "week.json")
        await pilot.press("enter")
        await pilot.pause()
        told = str(form.query_one("#form-told", Static).content)
        assert told.startswith(f"{page} is there already")
        await pilot.press("enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert pilot.app.screen is form  # whoever wrote it did not mean it to be replaced
        assert "week.html would be replaced" in form.problem
        assert page.read_bytes() == b"mine"
        assert not (tmp_path / "week.json").exists()
