"""Which device plays, and how late the ear is: tried out with a soft click and one's own eyes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.sound.device_check import CAUTION, DELAY_STEP, DeviceCheck
from companion.tui.widgets.beat_number import BeatNumber
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice

_SYSTEM = "the system's default"
_LOOKS_A_SECOND = 30
_FRESH = 0.15
"""Seconds for which a stroke is shown as new."""


class SoundScreen(ModalScreen[bool]):
    """Answers with whether a choice was kept."""

    CSS_PATH = "sound_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "click", "Test click", key_display="space"),
        # Before the list, which would take these keys for itself.
        Binding("left", f"delay(-{DELAY_STEP})", "Latency", key_display="←→", priority=True),
        Binding("right", f"delay({DELAY_STEP})", show=False, priority=True),
        Binding("shift+left", f"delay(-{10 * DELAY_STEP})", show=False),
        Binding("shift+right", f"delay({10 * DELAY_STEP})", show=False),
        Binding("k", "keep", "Save"),
        Binding("escape", "back", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓ Enter", "play on another device"),
        ("Space", "a soft click each second, on and off"),
        ("← →", f"latency {DELAY_STEP} ms less, more (with Shift ten times as much)"),
        ("k", "save device and latency"),
        ("Escape", "leave without saving"),
    ]

    @dataclass
    class Found(Message):
        """The sound devices are known and one is open."""

        listening: DeviceCheck

    class Tried(Message):
        """Another device was tried."""

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders
        self.listening: DeviceCheck | None = None

    def compose(self) -> ComposeResult:
        """The devices, the delay, and the number of the stroke that should be heard."""
        with Vertical(id="sound-box"):
            yield OptionList(id="sound-devices")
            with Horizontal(id="sound-now"):
                yield BeatNumber()
                yield Static("Looking for sound devices …", id="sound-told")
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Find and open what was chosen elsewhere; the screen is there at once."""
        self.query_one("#sound-box").border_title = "Sound"
        self._timer = self.set_interval(1 / _LOOKS_A_SECOND, self.look, pause=True)
        self._find()

    def on_unmount(self) -> None:
        """Leave no sound behind."""
        if self.listening is not None:
            self.listening.close()

    @work(thread=True, exclusive=True)
    def _find(self) -> None:
        found = self.Found(DeviceCheck(self.folders))
        if not self.post_message(found):
            found.listening.close()

    def on_sound_screen_found(self, event: Found) -> None:
        """A device is open; show what else there is."""
        listening = self.listening = event.listening
        names = self.query_one(OptionList)
        names.add_options(Option(Text(name)) for name in (_SYSTEM, *listening.devices))
        chosen = listening.choice.device
        names.highlighted = (
            1 + listening.devices.index(chosen) if chosen in listening.devices else 0
        )
        names.focus()
        self._show()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Play on that one."""
        event.stop()
        if self.listening is not None:
            index = event.option_index
            self._timer.pause()
            self._try(self.listening, self.listening.devices[index - 1] if index else None)

    @work(thread=True, exclusive=True)
    def _try(self, listening: DeviceCheck, name: str | None) -> None:
        listening.try_device(name)
        self.post_message(self.Tried())

    def on_sound_screen_tried(self, _: Tried) -> None:
        """Another device is open, or it was refused."""
        self._show()

    def action_click(self) -> None:
        """The soft click, on and off."""
        if self.listening is None:
            return
        try:
            self.listening.click()
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        if self.listening.is_sounding:
            self.query_one(Notice).say(CAUTION)
            self._timer.resume()
        self.look()

    def action_delay(self, by: int) -> None:
        """The ear is later, or not so late."""
        if self.listening is not None:
            self.listening.turn_delay(by)
            self._show()

    def action_keep(self) -> None:
        """Keep it and leave; where the disk refuses, say so and stay."""
        if self.listening is None:
            return
        problem = self.listening.keep()
        if problem is None:
            self.dismiss(True)
        else:
            self.query_one(Notice).show_error(problem)

    def action_back(self) -> None:
        """Leave; what was kept before still holds."""
        self.dismiss(False)

    def look(self) -> None:
        """Show the stroke that should be heard now."""
        if self.listening is None:
            return
        if self.listening.failure:
            self.query_one(Notice).say(f"! {self.listening.failure}")
        beat, stroke = self.query_one(BeatNumber), self.listening.stroke()
        beat.number = stroke[0] if stroke else 0
        beat.is_fresh = stroke is not None and stroke[1] < _FRESH
        if not self.listening.is_sounding:
            self._timer.pause()

    def _show(self) -> None:
        """Tell what plays and how late the ear is."""
        if self.listening is None:
            return
        told = [
            f"Plays through: {self.listening.backend}",
            f"Device: {self.listening.choice.device or _SYSTEM}",
            f"Latency: {self.listening.choice.delay} ms (← →)",
            "Space plays a click: press ← → until the number changes on the click.",
            "k saves it.",
        ]
        self.query_one("#sound-told", Static).update(Text("\n".join(told)))
        if self.listening.notice:
            self.query_one(Notice).say(self.listening.notice)
        self.look()
