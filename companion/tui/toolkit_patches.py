"""The toolkit, where it would fail or wait for ever on what a person or a terminal may do.

A byte from the keyboard that is no UTF-8, a terminal that takes nothing more, a screen that is
closed twice or while it opens, and a key or click in a list that has other rows than when it
was drawn. And where it would keep what nobody sees again.
"""

from __future__ import annotations

from codecs import getincrementaldecoder
from contextlib import suppress
from functools import lru_cache, partial
from typing import Any, Literal

from textual import work
from textual._styles_cache import StylesCache
from textual.await_complete import AwaitComplete
from textual.color import Color
from textual.command import CommandPalette
from textual.css.query import NoMatches
from textual.events import Click, Mount
from textual.message import Message
from textual.screen import Screen
from textual.style import Style
from textual.widgets import OptionList

_DISMISS = Screen.dismiss
_ON_MESSAGE = Screen._on_message
_MOVE_PAGE = OptionList._move_page
_ON_CLICK = OptionList._on_click
_SHOW_BUSY = CommandPalette._watch__show_busy
_GATHER = CommandPalette._gather_commands.__wrapped__  # type: ignore[attr-defined]


def patch_terminal() -> None:
    """Read bytes that are no UTF-8 as the replacement sign; end although nobody takes what is sent.

    The toolkit's own reader and writer would fail and wait for ever.
    """
    with suppress(ImportError):  # there is no such terminal on Windows
        from textual.drivers import linux_driver

        from companion.tui.terminal_writer import TerminalWriter

        lenient = partial(getincrementaldecoder("utf-8"), errors="replace")
        vars(linux_driver)["getincrementaldecoder"] = lambda encoding: lenient
        vars(linux_driver)["WriterThread"] = TerminalWriter


def patch_dismissals() -> None:
    """Close the screen that is meant, once.

    The toolkit closes whichever lies on top: a second Enter in a field, or a score that is read
    while the help lies above, would close another screen, with what was played on it.
    """

    def dismiss(screen: Screen[Any], result: Any = None) -> AwaitComplete:  # noqa: ANN401
        app = screen.app
        while screen in app.screen_stack and not screen.is_active:
            app.pop_screen()
        return _DISMISS(screen, result) if screen.is_active else AwaitComplete()

    Screen.dismiss = dismiss  # type: ignore[method-assign, assignment]


async def _on_message(screen: Screen[Any], message: Message) -> None:
    """Without what is about a screen that is closed already, or about a row that is gone."""
    if isinstance(message, Mount) and (screen._closing or screen._pruning):
        return
    if isinstance(message, OptionList.OptionMessage):
        if message.option_index >= message.option_list.option_count:
            return
    await _ON_MESSAGE(screen, message)


def patch_openings() -> None:
    """A screen that is closed while it opens has nothing on it, and nothing to do any more.

    The command palette looks for its list, or for its busy sign, once more when it is gone.
    """

    async def gather_commands(palette: CommandPalette, words: str) -> None:
        with suppress(NoMatches):
            await _GATHER(palette, words)

    async def watch_show_busy(palette: CommandPalette) -> None:
        with suppress(NoMatches):
            await _SHOW_BUSY(palette)

    group = CommandPalette._GATHER_COMMANDS_GROUP
    CommandPalette._gather_commands = work(exclusive=True, group=group)(gather_commands)  # type: ignore[method-assign]
    CommandPalette._watch__show_busy = watch_show_busy  # type: ignore[method-assign, assignment]
    Screen._on_message = _on_message  # type: ignore[method-assign, assignment]


def patch_lists() -> None:
    """A page turned before a list is laid out, or a row that is gone, does nothing.

    In every list of the program and in the toolkit's command palette.
    """

    def move_page(rows: OptionList, direction: Literal[-1, 1]) -> None:
        with suppress(KeyError, IndexError):
            _MOVE_PAGE(rows, direction)

    async def on_click(rows: OptionList, event: Click) -> None:
        with suppress(IndexError):
            await _ON_CLICK(rows, event)

    Screen._on_message = _on_message  # type: ignore[method-assign, assignment]
    OptionList._move_page = move_page  # type: ignore[method-assign, assignment]
    OptionList._on_click = on_click  # type: ignore[method-assign, assignment]


def patch_style_cache() -> None:
    """Let a widget that is gone take its drawn lines with it.

    The toolkit remembers two styles for each pair of colours, but the drawing they were asked
    for is part of what it remembers them by: it kept the lines of the last thousand widgets.
    """

    @lru_cache(maxsize=1024)
    def inner_outer(base: Color, background: Color) -> tuple[Style, Style]:
        return Style(background=base + background), Style(background=base)

    def of_any_drawing(_: StylesCache, base: Color, background: Color) -> tuple[Style, Style]:
        return inner_outer(base, background)

    StylesCache.get_inner_outer = of_any_drawing  # type: ignore[method-assign, assignment]


def apply_patches() -> None:
    """All of them; a second time changes nothing."""
    patch_terminal()
    patch_dismissals()
    patch_openings()
    patch_lists()
    patch_style_cache()
