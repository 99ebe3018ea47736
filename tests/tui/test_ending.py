"""The app ends in one sentence on a fault, and on a signal whatever the terminal does."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from datetime import datetime
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.tui.app import CompanionApp
from companion.tui.ending import fault_told

POSIX = pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals are POSIX")


async def test_an_unforeseen_fault_ends_the_app_with_the_details_in_a_file(
    app_folders: Folders,
) -> None:
    app = CompanionApp(app_folders)

    def fail() -> None:
        raise ZeroDivisionError("planted")

    with pytest.raises(ZeroDivisionError):
        async with app.run_test() as pilot:
            app.call_later(fail)
            await pilot.pause()
    assert app.return_code == 1
    (details,) = (app_folders.data / "faults").iterdir()
    assert "planted" in details.read_text("utf-8")


def test_of_an_unforeseen_fault_a_person_reads_one_line_without_a_traceback(
    app_folders: Folders,
) -> None:
    told = fault_told(app_folders, KeyError("planted"), datetime(2026, 3, 1, 18, 20))
    (details,) = (app_folders.data / "faults").iterdir()
    assert told.startswith("companion had to stop: an unforeseen fault (KeyError).")
    assert told.endswith(f"Details: {details}")
    assert "Traceback" not in told and "\n" not in told
    assert "planted" in details.read_text("utf-8")


class Terminal:
    """The app in a real pseudo-terminal, as a window that can be closed."""

    def __init__(self, data: Path, *arguments: str) -> None:
        self.process, self.screen = pty.fork()
        if not self.process:
            os.environ.update(TERM="xterm-256color", COMPANION_DATA=str(data))
            os.environ["COMPANION_SOUND"] = "silent"
            os.execv(sys.executable, [sys.executable, "-m", "companion", *arguments])
        # Rows and columns, as struct winsize has them.
        fcntl.ioctl(self.screen, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.shown = b""

    def wait_for(self, text: str) -> None:
        """Read until a text was shown."""
        for _ in range(200):
            if text.encode() in self.read():
                return
        raise AssertionError(f"never shown: {text}")

    def read(self) -> bytes:
        """All that was shown so far."""
        if select.select([self.screen], [], [], 0.1)[0]:
            try:
                self.shown += os.read(self.screen, 65536)
            except OSError:
                pass
        return self.shown

    def press(self, keys: bytes) -> None:
        """Type."""
        os.write(self.screen, keys)

    def ended(self, *, unread: bool = False) -> int:
        """Exit status, once the program has ended; `unread`: nobody takes what it sends."""
        for _ in range(200):
            time.sleep(0.1)  # a closed terminal is always ready to be read
            if not unread:
                self.read()
            process, status = os.waitpid(self.process, os.WNOHANG)
            if process:
                return os.waitstatus_to_exitcode(status)
        os.kill(self.process, signal.SIGKILL)
        raise AssertionError("it did not end")


def playing(data: Path) -> Terminal:
    """A drill of the demo that has sounded for a while, so that there is something to keep."""
    terminal = Terminal(data, "demo")
    terminal.wait_for("Ferry")
    terminal.press(b"m\r")
    terminal.wait_for("Passage")
    terminal.press(b"\r")
    terminal.wait_for("Playing in silence")
    terminal.press(b" ")
    terminal.wait_for("playing")
    begun = time.monotonic()
    while time.monotonic() - begun < 1.6:
        terminal.read()
    return terminal


@POSIX
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_in_a_drill_keeps_what_was_played_and_gives_the_terminal_back(
    tmp_path: Path, number: signal.Signals
) -> None:
    terminal = playing(tmp_path)
    os.kill(terminal.process, number)
    assert terminal.ended() == 128 + number
    # The alternate screen is left and the cursor shown again: the terminal is a person's.
    assert b"\x1b[?1049l" in terminal.shown and re.search(rb"\x1b\[\?25h", terminal.shown)
    (kept,) = (tmp_path / "in-progress").glob("*.json")
    assert b'"Violin I"' in kept.read_bytes()


@POSIX
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_terminal_that_takes_nothing_more_keeps_no_signal_from_ending_the_app(
    tmp_path: Path, number: signal.Signals
) -> None:
    terminal = playing(tmp_path)
    for _ in range(60):  # more is drawn than a terminal holds
        terminal.press(b"n")
        time.sleep(0.02)
    os.kill(terminal.process, number)
    assert terminal.ended(unread=True) == 128 + number
    (kept,) = (tmp_path / "in-progress").glob("*.json")
    assert b'"Violin I"' in kept.read_bytes()


@POSIX
def test_a_window_that_closes_before_all_is_drawn_ends_the_app(tmp_path: Path) -> None:
    terminal = playing(tmp_path)
    for _ in range(60):
        terminal.press(b"n")
        time.sleep(0.02)
    os.close(terminal.screen)
    assert terminal.ended(unread=True) == 128 + signal.SIGHUP
    assert list((tmp_path / "in-progress").glob("*.json"))
