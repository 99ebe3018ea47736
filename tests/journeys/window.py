"""A window of a real terminal, in which a player types and looks: tmux with its own server."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import companion

PATIENCE = 40
"""Seconds after which what was waited for will never come."""
PROMPT = "stand>"
SERVER = f"companion-test-{os.getpid()}"


class Window:
    """A shell in a window of so many columns and rows, and the log of who sits before it."""

    def __init__(self, home: Path, *, columns: int = 80, rows: int = 24) -> None:
        self.home = home
        self.data = home / "log"
        programs = home / "bin"
        programs.mkdir(parents=True, exist_ok=True)
        command = programs / "companion"
        command.write_text(f'#!/bin/sh\nexec {sys.executable} -m companion "$@"\n')
        command.chmod(0o755)
        kept = {key: os.environ[key] for key in ("LANG", "LC_ALL") if key in os.environ}
        self.surroundings = kept | {
            "HOME": str(home),
            "PATH": f"{programs}:{os.environ['PATH']}",
            "PYTHONPATH": str(Path(companion.__file__).parents[1]),
            "PYTHONUTF8": "1",
            "COMPANION_DATA": str(self.data),
            "COMPANION_SOUND": "silent",
            "PS1": f"{PROMPT} ",
            "TERM": "screen-256color",
        }
        words = [f"{key}={value}" for key, value in self.surroundings.items()]
        size = ("-x", str(columns), "-y", str(rows))
        shell = ("env", "-i", *words, "sh", "-i")
        self._tmux("new-session", "-d", "-s", "stand", *size, "-c", str(home), *shell)
        self.sees(PROMPT)

    def types(self, line: str) -> None:
        """A line at the prompt, or in a field, and Enter."""
        self._tmux("send-keys", "-t", "stand", "-l", line)
        self.presses("Enter")

    def presses(self, *keys: str) -> None:
        """Keys by the names tmux has for them: "Space", "Escape", "Down", "C-z", "m"."""
        self._tmux("send-keys", "-t", "stand", *keys)

    def sees(self, *texts: str) -> str:
        """What is on the screen once each of these is."""
        return self._once(lambda shown: all(text in shown for text in texts), f"{texts}")

    def no_longer_sees(self, text: str) -> str:
        """What is on the screen once this is gone."""
        return self._once(lambda shown: text not in shown, f"anything but {text}")

    def goes(self, key: str, *texts: str) -> str:
        """Press a key, wait for what it leads to."""
        self.presses(key)
        return self.sees(*texts)

    def shown(self) -> str:
        """The screen as it is now, without the blanks at the ends of lines."""
        return self._tmux("capture-pane", "-p", "-t", "stand")

    def resizes(self, columns: int, rows: int) -> None:
        """Pull the window to another size."""
        self._tmux("resize-window", "-t", "stand", "-x", str(columns), "-y", str(rows))

    def closes(self) -> None:
        """Close the window, whatever runs in it."""
        subprocess.run(("tmux", "-L", SERVER, "kill-session", "-t", "stand"), check=False)

    def command(self, *words: str) -> str:
        """What a command says, elsewhere than in the window."""
        done = subprocess.run(
            [sys.executable, "-m", "companion", *words],
            env=self.surroundings,
            cwd=self.home,
            capture_output=True,
            text=True,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, ""), done
        return done.stdout

    def told(self, *words: str) -> Any:  # noqa: ANN401
        """The same, as a program reads it."""
        return json.loads(self.command(*words, "--json"))

    def logged(self) -> list[dict[str, Any]]:
        """What is in the log, the latest first; the log is whole."""
        assert self.command("log", "check") == "The log has no faults.\n"
        found: list[dict[str, Any]] = self.told("log")["attempts"]
        return found

    def once(self, is_so: Callable[[], bool]) -> None:
        """Wait until it is."""
        end = time.monotonic() + PATIENCE
        while not is_so():
            assert time.monotonic() < end, "it never was so"
            time.sleep(0.02)

    def _once(self, is_there: Callable[[str], bool], wanted: str) -> str:
        end = time.monotonic() + PATIENCE
        while not is_there(shown := self.shown()):
            assert time.monotonic() < end, f"never seen: {wanted}\n{shown}"
            time.sleep(0.02)
        return shown

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            ("tmux", "-L", SERVER, "-f", os.devnull, *words),
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout
