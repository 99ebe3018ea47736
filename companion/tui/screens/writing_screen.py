"""A form that writes a file: in a child process, with what it does told, and stopped by Escape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from os.path import isfile
from pathlib import Path
from threading import Event
from time import monotonic

from textual import work
from textual.message import Message
from textual.widgets import Static

from companion.errors import CompanionError
from companion.files.child_call import Stopped, call
from companion.files.score_paths import as_path, whole_path
from companion.tui.screens.form_screen import FormScreen
from companion.tui.widgets.form import Form, T


@dataclass(frozen=True, slots=True)
class Writing:
    """What is to be done."""

    out: Path
    """The file."""
    make: Callable[[], str]
    """A `partial` of a module's function, called in a child; tells what it wrote. Raises
    CompanionError."""
    beside: tuple[Path, ...] = ()
    """What else it writes, beside the file."""

    def replaced(self) -> tuple[Path, ...]:
        """What lies there already and would be replaced."""
        return tuple(path for path in (self.out, *self.beside) if isfile(path))


def path_typed(typed: str) -> Path:
    """A file by its whole path. Raises CompanionError for none."""
    if not typed.strip():
        raise CompanionError("there is no file name", next="Write one such as ~/viola.pdf.")
    return whole_path(as_path(typed.strip()))


class WritingScreen(FormScreen[T, str]):
    """Answers with what was written and where, in a sentence, or None after Escape."""

    @dataclass
    class Ended(Message):
        """What came of it."""

        outcome: str | CompanionError

    def __init__(self, form: Form[T, str], state: T, writing: Callable[[T], Writing]) -> None:
        """`writing` says what to do, and raises CompanionError for what cannot be; the form's
        own `done` is not asked."""
        super().__init__(form, state)
        self._writing = writing
        self._stop = Event()
        self._began: float | None = None
        self._replaces: tuple[Path, ...] = ()

    def finish(self) -> None:
        """Begin to write; ask once before a file is replaced."""
        if self._began is not None:
            return
        writing = self._writing(self.state)
        if (there := writing.replaced()) and self._replaces != there:
            self._replaces = there
            is_, it = ("is", "it") if len(there) == 1 else ("are", "them")
            names = " and ".join(map(str, there))
            self._say(f"{names} {is_} there already. Enter again replaces {it}.")
            return
        self._began = monotonic()
        self._stop.clear()
        self.query_one("#form-box").disabled = True
        self._tick(writing.out)
        self._timer = self.set_interval(0.5, partial(self._tick, writing.out))
        self._write_out(writing)

    def _tick(self, out: Path) -> None:
        seconds = int(monotonic() - (self._began or monotonic()))
        told = f" {seconds} s" if seconds else ""
        self._say("Stopping …" if self._stop.is_set() else f"Writing {out} …{told} Esc stops it.")

    def _say(self, text: str) -> None:
        self.query_one("#form-told", Static).update(text)

    @work(thread=True)
    def _write_out(self, writing: Writing) -> None:
        """In a thread, which waits for the child."""
        outcome: str | CompanionError
        try:
            outcome = call(writing.make, self._stop.is_set)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Ended(outcome))

    def on_writing_screen_ended(self, message: Ended) -> None:
        """Say what was written, or why it could not be and stay."""
        self._timer.stop()
        self._began = None
        self.query_one("#form-box").disabled = False
        if isinstance(message.outcome, str):
            self.dismiss(message.outcome)
        elif isinstance(message.outcome, Stopped):
            self._say(message.outcome.sentence())
        else:
            self.refused = message.outcome.sentence()
            self._tell()
        self.line.focus()

    def action_leave(self) -> None:
        """Stop what is being written; else leave."""
        if self._began is not None:
            self._stop.set()
        else:
            self.dismiss(None)

    def on_unmount(self) -> None:
        """Leave no child behind."""
        self._stop.set()
