"""What a person or a terminal may do without a fault of the toolkit under the app."""

from __future__ import annotations

import asyncio
import gc
from pathlib import Path
from typing import ClassVar
from weakref import ref

import pytest
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.command import CommandList, CommandPalette
from textual.events import Click, Key
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.files.folders import Folders
from companion.session.open_score import open_for_practice
from companion.tui.app import CompanionApp
from companion.tui.screens.help_screen import HelpScreen
from companion.tui.screens.log_screen import LogScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.opening_screen import OpeningScreen
from tests.tui.test_ending import POSIX, Terminal


@pytest.mark.parametrize("key", ["up", "pageup", "down", "end", "home", "enter"])
async def test_every_key_on_an_empty_log_does_no_harm(app_folders: Folders, key: str) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("l", key)
        assert isinstance(pilot.app.screen, LogScreen)


async def test_a_screen_that_is_closed_twice_closes_no_other(app_folders: Folders) -> None:
    """So does a held Enter: the second comes before the first is dealt with."""
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("l", "A")
        form = app.screen
        form.dismiss(None)
        form.dismiss(None)
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)


async def test_what_ends_below_the_help_takes_the_help_with_it(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("l", "question_mark")
        log = app.screen_stack[-2]
        await log.dismiss()
        assert isinstance(app.screen, OpeningScreen)


async def test_a_screen_that_is_closed_while_it_opens_does_nothing_more(
    app_folders: Folders,
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        for screen in (HelpScreen([]), CommandPalette()):
            for gone in ("_pruning", "_closing"):  # taken away before it was mounted
                app.push_screen(screen)
                setattr(screen, gone, True)
                await pilot.pause()
                setattr(screen, gone, False)
                app.pop_screen()
                await pilot.pause()
        palette = CommandPalette()
        await app.push_screen(palette)
        await palette.query_one(CommandList).remove()
        palette._gather_commands("log")
        await app.workers.wait_for_complete()
        palette._show_busy = not palette._show_busy
        await pilot.pause()
        assert app.screen is palette


class Late(Screen[None]):
    """A key of it needs what is on it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("x", "look")]
    was_seen = False

    async def on_compose(self) -> None:
        await asyncio.sleep(0.05)

    def compose(self) -> ComposeResult:
        yield Static()

    def action_look(self) -> None:
        self.was_seen = self.query_one(Static).is_attached


async def test_a_key_waits_for_the_screen_that_comes_up_while_it_waits(
    app_folders: Folders,
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        first: asyncio.Event = app.screen._mounted_event
        first.clear()
        key = Key("x", "x")
        key._set_forwarded()  # nothing on the screen before took it
        app.post_message(key)
        while not first._waiters:
            await asyncio.sleep(0)
        late = Late()
        app.push_screen(late)
        first.set()
        await pilot.pause(0.2)
        assert late.was_seen


async def test_a_widget_that_is_gone_takes_no_key(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("l", "A")
        row = app.screen.focused
        assert row is not None
        await row.remove()
        app.screen.focused = row
        await pilot.press("escape")
        assert isinstance(app.screen, LogScreen)


async def test_a_page_turned_in_the_palette_before_it_is_laid_out_does_nothing(
    app_folders: Folders,
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("ctrl+p")
        await app.workers.wait_for_complete()
        await pilot.pause()
        rows = app.screen.query_one(OptionList)
        assert rows.option_count
        rows.highlighted = 0
        rows._index_to_line.clear()
        rows.action_page_down()  # type: ignore[no-untyped-call]
        rows.action_page_up()  # type: ignore[no-untyped-call]


async def test_a_click_where_a_row_was_does_nothing(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.pause()
        rows = app.screen.query_one(OptionList)
        rows.post_message(
            Click(rows, 1, 1, 0, 0, 1, False, False, False, style=Style(meta={"option": 99}))
        )
        await pilot.pause()
        assert app.is_running


async def test_a_row_that_is_gone_when_it_is_chosen_is_not_chosen(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.pause()
        rows = app.screen.query_one(OptionList)
        app.screen.post_message(OptionList.OptionSelected(rows, Option("gone"), 99))
        await pilot.pause()
        assert isinstance(app.screen, OpeningScreen)


async def test_a_key_waits_until_the_screen_it_is_for_stands(
    app_folders: Folders, demo: Path
) -> None:
    """As it comes back from a screen that closes while the next one opens."""
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        app.push_screen(MapScreen(open_for_practice(demo, app_folders), app_folders))
        key = Key("escape", None)
        key._set_forwarded()
        await app.on_event(key)
        await pilot.pause()
        assert isinstance(app.screen, OpeningScreen)


async def test_keys_that_come_while_it_closes_are_for_nobody(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test():
        screens = app._screen_stacks[app._current_mode]
        before, screens[:] = screens[:], []
        await app.on_event(Key("x", "x"))
        screens[:] = before
        assert app.is_running


async def test_a_screen_that_was_left_takes_its_drawing_with_it(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("l")
        drawn = [ref(widget._styles_cache) for widget in app.screen.query()]
        assert any(drawing() for drawing in drawn)
        await pilot.press("escape")
        await pilot.pause()
        gc.collect()
        assert not any(drawing() for drawing in drawn)


@POSIX
def test_a_byte_that_is_no_text_is_passed_over(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path)
    terminal.wait_for("Quit")
    terminal.press(b"\xff\xfe\x80")
    terminal.press(b"l")
    terminal.wait_for("Practice log")
    terminal.press(b"q")
    assert terminal.ended() == 0
    assert not (tmp_path / "faults").exists()
