"""The toolkit's app, guarded where the terminal meets it: its size, what is drawn on it, and how
much of that is sent."""

from __future__ import annotations

import sys
from asyncio import Event as EventSet
from asyncio import wait_for
from collections import deque
from collections.abc import Sequence
from time import monotonic

from rich.console import ConsoleRenderable, RichCast
from rich.segment import Segment
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.app import App
from textual.color import Color
from textual.events import Event, InputEvent, Key, Paste, Resize
from textual.filter import LineFilter
from textual.geometry import Size
from textual.message_pump import MessagePump
from textual.screen import Screen

from companion.tui.sent_cells import SentCells
from companion.tui.widgets.staff_signs import ASCII, signs_for
from companion.wording.control_characters import without_control
from companion.wording.plain_signs import in_ascii

_MOST_WAIT = 5
"""Seconds a key waits for its screen, or for the key before it."""
_LEAST = Size(20, 8)
"""Columns and rows; nothing can be read on fewer, but nothing may end on them either."""


class GuardedApp(App[None]):
    """It lives on a terminal of any size, and draws no control character.

    Where the terminal has only ASCII, every sign of every screen becomes its likeness here.
    """

    def __init__(self, *, ansi_color: bool | None = None) -> None:
        super().__init__(ansi_color=ansi_color)
        signs = signs_for(getattr(sys.__stdout__, "encoding", None))
        self._sent_cells = SentCells()
        self._typed: deque[Event] = deque()
        """Keys and pastes that wait for the one before them."""
        self._in_hand: float | None = None
        """Since when a key is being answered; None if none is."""
        self._text_filters = (_NO_CONTROL, _IN_ASCII) if signs is ASCII else (_NO_CONTROL,)

    @property
    def size(self) -> Size:
        """Of the terminal; never under what the toolkit can lay out, for it fails there."""
        return _large_enough(super().size)

    def on_resize(self, event: Resize) -> None:
        """As `size`, before the screens are told."""
        event.size = _large_enough(event.size)
        self._sent_cells.forget()

    def action_draw_again(self) -> None:
        """All of the screen, if something else wrote on the terminal."""
        self._sent_cells.forget()
        self.refresh(layout=True)

    def on_load(self) -> None:
        """After Ctrl+Z and `fg` the terminal may show something else: send all of it again."""
        self.app_resume_signal.subscribe(self, lambda _: self._sent_cells.forget(), immediate=True)

    def _display(
        self, screen: Screen[object], renderable: ConsoleRenderable | RichCast | str | None
    ) -> None:
        if isinstance(renderable, LayoutUpdate | ChopsUpdate):
            changes = self._sent_cells.changes(renderable)
            super()._display(screen, changes)  # type: ignore[arg-type] # as the toolkit's own
        else:
            super()._display(screen, renderable)

    async def on_event(self, event: Event) -> None:
        """A key waits for the one before it, and until its screen is mounted; without a screen,
        or after the one that ends the app, it is dropped."""
        if isinstance(event, InputEvent) and self._exit:
            return
        if isinstance(event, Key | Paste) and not event.is_forwarded:
            self._typed.append(event)
            if self._in_hand is None:
                await self._take_typed()
            elif len(self._typed) == 1:
                self.set_timer(_MOST_WAIT, self._take_what_waits)
        elif not isinstance(event, InputEvent) or await self._is_screen_mounted():
            await super().on_event(event)

    async def _take_typed(self) -> None:
        """Answer the next key.

        The toolkit hands a key to the widget that has the focus when it is read, though the
        keys before it may be about to move the focus or to open a screen: of many keys that
        come at once, some were answered by the wrong row or screen, or in another order.
        """
        while self._typed:
            event = self._typed.popleft()
            self._in_hand = monotonic()
            if await self._is_screen_mounted() and not self._exit:
                self._forget_lost_focus()
                answering = tuple((self.focused or self.screen).ancestors_with_self)
                await super().on_event(event)
                # Once for the key, which goes up to the app; once more for what it asked there.
                if self._tells_when_done((*answering, *answering)):
                    return
        self._in_hand = None

    def _tells_when_done(self, answering: Sequence[MessagePump]) -> bool:
        """Whether one of these is left, in turn, to do what it was sent before."""
        return any(
            pump.call_later(self._done, answering[place:])
            for place, pump in enumerate(answering, 1)
        )

    async def _done(self, answering: Sequence[MessagePump]) -> None:
        if not self._tells_when_done(answering):
            await self._take_typed()

    async def _take_what_waits(self) -> None:
        """Keys wait for one that nobody tells the end of no longer than this."""
        if self._typed and self._in_hand is not None:
            if monotonic() - self._in_hand >= _MOST_WAIT:
                await self._take_typed()
            self.set_timer(_MOST_WAIT, self._take_what_waits)

    def _forget_lost_focus(self) -> None:
        """A widget that is gone would take every key and answer none: the focus can be given to
        one while it is removed."""
        focused = self.screen.focused
        if focused is not None and not focused.is_attached:
            self.screen.set_focus(None)

    async def _is_screen_mounted(self) -> bool:
        """Whether the screen on top is, after a while at most. Meanwhile it may be another."""
        patience = monotonic() + _MOST_WAIT
        while self.screen_stack:
            mounted: EventSet = self.screen._mounted_event
            if mounted.is_set():
                return True
            try:
                await wait_for(mounted.wait(), patience - monotonic())
            except TimeoutError:
                return False
        return False

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Without control characters: text from a file cannot command the terminal."""
        return [*super().get_line_filters(), *self._text_filters]


def _large_enough(size: Size) -> Size:
    return Size(max(size.width, _LEAST.width), max(size.height, _LEAST.height))


class _WithoutControl(LineFilter):
    """Takes the control characters out of a line; they are no columns wide."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        if all(one.text.isprintable() for one in segments):
            return segments
        return [Segment(without_control(one.text), one.style, one.control) for one in segments]


class _InAscii(LineFilter):
    """Draws every sign by its likeness in ASCII, in as many columns."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        if all(one.text.isascii() for one in segments):
            return segments
        return [Segment(in_ascii(one.text), one.style, one.control) for one in segments]


_NO_CONTROL = _WithoutControl()
_IN_ASCII = _InAscii()
