"""The first screen: the scores of a player, a field that narrows them, and ways to the rest.

One list serves all: what was opened lately, the built-in score and the indexed folders while
nothing is typed, so that a player who comes back needs no more than Enter; what fits, and
files and folders, while something is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from os.path import exists, isdir
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.score_paths import as_path, common_beginning, completions
from companion.library.recent_scores import RecentScore, opened_scores
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.app_clock import clock_of
from companion.tui.widgets.beside import WIDE, Beside
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.score_suggestions import Suggestion, SuggestionColumns, suggested_scores
from companion.wording.phrases import counted

if TYPE_CHECKING:
    from companion.library.indexed_score import Index

LATELY = "Recent scores first: ↑↓ and Enter; to search, o and then words"
NEW_HERE = "Nothing opened yet: Enter opens the built-in score"
NAME_A_FOLDER = "Enter indexes the scores of this folder; Tab completes a name, ↓ to the list"
_HOME = "~/"

_BESIDE = 60
"""Columns of what is beside the list (opening_screen.tcss)."""
AT_ONCE = 300
"""Lines that are laid out together; the rest follows when the cursor comes near the end."""


class OpeningScreen(Screen[None]):
    """Choose a score."""

    CSS_PATH = "opening_screen.tcss"
    AUTO_FOCUS = "#opening-list"  # Enter alone opens something
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o,slash", "type", "Type a path or words", show=False),
        Binding("i", "name_folder", "Index a folder", show=False),
        Binding("y", "app.today", "Today"),
        Binding("G", "app.goals", "Goals", key_display="G"),
        Binding("w", "progress", "Progress"),
        Binding("b", "app.beat", "Beat"),
        Binding("t", "app.timer", "Timer"),
        Binding("h", "app.habits", "Habits", show=False),
        Binding("x", "app.exercises", "Exercises"),
        Binding("T", "app.tour", "Tour", show=False),
        Binding("escape", "clear", show=False),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓ Enter", "choose from the list"),
        ("o or /", "type the path of a score or folder (~ is your home folder), or words of its"),
        ("", "title, composer or parts, mixed, 3:2 … to search all scores you have indexed"),
        ("i", "index a folder: name it, and its scores can be searched"),
        ("y", "today's plan: passages that are due, next tempos, new ones"),
        ("G", "goals: open one, remove it"),
        ("w", "progress of the score under the cursor, and your weeks"),
        ("b", "beat: a click without a score, for scales; space starts it"),
        ("t", "timer, for scales, a lesson or a rehearsal"),
        ("h", "habits: the numbers a day's plan is made with"),
        ("x", "exercises: assigned and built in"),
        ("Tab", "while typing: complete the name"),
        ("↓", "while typing: to the list of matches"),
        ("Escape", "while typing: clear the path"),
        ("T", "the tour: two minutes on the built-in score, to a first drill"),
        ("F1", "the manual, while typing too"),
    ]

    problem: reactive[CompanionError | None] = reactive[CompanionError | None](None, init=False)
    """Why the last score could not be opened."""

    @dataclass
    class Read(Message):
        """What the log and the indexed folders know of scores."""

        recent: list[RecentScore]
        problem: CompanionError | None
        libraries: tuple[Index, ...]

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders
        self._said = ""
        self.suggestions: list[Suggestion] = []
        self.hint = ""
        self.recent: list[RecentScore] = []
        self.libraries: tuple[Index, ...] = ()

    def compose(self) -> ComposeResult:
        """Heading, the field, the list, a line for trouble."""
        yield Heading("companion: where parts pull against each other")
        yield _PathInput(
            placeholder="path of a score or folder, or words",
            id="opening-path",
            select_on_focus=False,  # typing goes on after what stands there
        )
        yield Static(id="opening-hint", markup=False)
        with Horizontal():
            yield OptionList(id="opening-list")
            yield Beside(classes="-from-wide")
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Say what each place is for, and what was to be told meanwhile."""
        self._path.border_title, self._path.border_subtitle = "Score", "o: type · i: index a folder"
        if self._said:
            self.tell(self._said)
        if self.problem is not None:
            self.watch_problem(self.problem)

    def on_screen_resume(self) -> None:
        """What was just opened comes first; the rest is read once this has been painted."""
        if self.app.screen is not self:
            return
        self.recent = opened_scores(self.folders)
        self._offer()
        self.app.call_after_refresh(self._read)
        self.call_after_refresh(self.query_one(Beside).show, self._beside)

    def _beside(self, width: int, _: int) -> Iterator[str | Text]:
        """On a wide terminal, today's plan and the weeks."""
        from companion.tui.widgets.plan_list import day_lines

        yield from day_lines(self.folders, clock_of(self.app)(), width)

    @work(thread=True, exclusive=True)
    def _read(self) -> None:
        """In a thread: a log of years, or an index of thousands of scores, takes a moment."""
        from companion.library.index_store import indexes
        from companion.library.recent_scores import recent_scores

        self.post_message(self.Read(*recent_scores(self.folders), indexes(self.folders)))

    def on_opening_screen_read(self, message: Read) -> None:
        """Offer them too; the cursor stays on its score."""
        if message.problem is not None:
            self.show_error(message.problem)
        if (message.recent, message.libraries) != (self.recent, self.libraries):
            row = self._list.highlighted
            before = self.suggestions[row].path if row else ""
            self.recent, self.libraries = message.recent, message.libraries
            self._offer(before)

    def show_error(self, problem: CompanionError) -> None:
        """Say why a score could not be opened."""
        self.problem = problem

    def tell(self, said: str) -> None:
        """Say what was done, now or when this is first seen."""
        self._said = said
        for notice in self.query(Notice):
            notice.say(said)

    def watch_problem(self, problem: CompanionError | None) -> None:
        """Show it, or show nothing once it is over."""
        for notice in self.query(Notice):
            notice.clear() if problem is None else notice.show_error(problem)

    @property
    def _path(self) -> Input:
        return self.query_one("#opening-path", Input)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#opening-list", OptionList)

    def _offer(self, at: str = "") -> None:
        """Everything that fits what is typed, the cursor on a path of it, else on the first."""
        typed = self._path.value
        files = [Suggestion(path, path) for path in completions(typed)] if typed else []
        scores = list(suggested_scores(self.recent, self.libraries, typed))
        self.suggestions = [*files, *scores]
        self.hint = _hint(typed, len(files), len(scores), self.recent, self.libraries)
        self.query_one("#opening-hint", Static).update(self.hint)
        row = next((row for row, one in enumerate(self.suggestions) if one.path == at), 0)
        self._list.clear_options()
        self._lay_out(row + AT_ONCE)
        self._list.highlighted = row if self.suggestions else None

    def _lay_out(self, until: int) -> None:
        """Lines up to a row, in columns as wide as what is in them."""
        begin = self._list.option_count
        beside = _BESIDE if self.size.width >= WIDE else 0
        columns = SuggestionColumns(self.suggestions, max(20, self.size.width - beside - 4))
        self._list.add_options(
            Option(Text(columns.line(one), no_wrap=True))
            for one in islice(self.suggestions, begin, until)
        )

    def on_resize(self) -> None:
        """Columns fill what there is."""
        if self.suggestions:
            self._offer(self.suggestions[self._list.highlighted or 0].path)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Lay out more before the end is reached."""
        if event.option_index >= self._list.option_count - 1:
            self._lay_out(event.option_index + AT_ONCE)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Offer what fits."""
        self.problem = None
        self._offer()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Open what was typed; index it if it is a folder; take the only score of its words."""
        typed = event.value.strip()
        if typed and not _is_path(typed) and self.suggestions:
            self._choose(self.suggestions[0])
        elif typed:
            self._open(typed)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open a score; look into a folder."""
        self._choose(self.suggestions[event.option_index])

    def _choose(self, one: Suggestion) -> None:
        if one.path.endswith("/"):
            self._path.value = one.path
            self._path.cursor_position = len(one.path)
            self.set_focus(self._path)
        else:
            self._open(one.path)

    def _open(self, typed: str) -> None:
        self.problem = None
        try:
            path = as_path(typed)
            if isdir(path):
                self._index(path)
            else:
                app_of(self).open_path(path)
        except (CompanionError, ValueError) as problem:
            told = problem if isinstance(problem, CompanionError) else _no_path(typed)
            self.show_error(told)

    def _index(self, folder: Path) -> None:
        from companion.tui.screens.indexing_screen import IndexingScreen

        def indexed(outcome: str | CompanionError | None) -> None:
            if isinstance(outcome, CompanionError):
                self.show_error(outcome)
            elif outcome is not None:
                self.action_clear()
                self.tell(outcome)

        self.app.push_screen(IndexingScreen(folder, self.folders), indexed)

    def action_type(self) -> None:
        """To the field, at once, so that fast typing is not lost."""
        self.set_focus(self._path)

    def on_paste(self, event: events.Paste) -> None:
        """Into the field, wherever the cursor is: it is a path, or words."""
        event.stop()
        self._path.insert_text_at_cursor(event.text.partition("\n")[0])
        self.set_focus(self._path)

    def action_name_folder(self) -> None:
        """To the field, where the path of a folder begins."""
        self._path.value = _HOME
        self._path.cursor_position = len(_HOME)
        self.set_focus(self._path)

    def action_progress(self) -> None:
        """How the score under the cursor goes."""
        row = self._list.highlighted
        one = None if row is None else self.suggestions[row]
        if one is None or one.path.endswith("/"):
            self.tell("Put the cursor on a score first.")
            return
        self.problem = None
        app_of(self).open_progress(Path(one.path))

    def action_clear(self) -> None:
        """Empty the field and go back to the list."""
        self._path.value = ""
        self.problem = None
        self.set_focus(self._list)


def _hint(
    typed: str,
    files: int,
    scores: int,
    recent: Sequence[RecentScore],
    libraries: Sequence[Index],
) -> str:
    """What the list holds, or what can be done; `files` and `scores` fit what is typed."""
    if typed.endswith("/"):
        return NAME_A_FOLDER
    if not typed:
        return LATELY if recent or libraries else NEW_HERE
    if files or scores:
        told = [counted(scores, "score")] if scores else []
        told += [counted(files, "file or folder", "files and folders")] if files else []
        return f"{', '.join(told)}: ↓ and Enter (Tab completes a path)"
    where = "in your scores" if libraries else "in recent scores; no folder is indexed yet"
    return f"Nothing found for “{typed}”: no file, and nothing {where}."


class _PathInput(Input):
    """A field in which Tab completes as a shell does, and ↓ goes on to the list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "complete", "Complete"),
        Binding("down", "app.focus_next", "Into the list"),
        Binding("escape", "screen.clear", "Clear", key_display="esc"),
        Binding("f1", "app.manual", "Manual", key_display="F1"),
    ]

    def on_input_changed(self, event: Input.Changed) -> None:
        """A whole path typed after the bare ~/ of before stands alone."""
        if self.value.startswith((f"{_HOME}/", f"{_HOME}~/")):
            event.stop()
            self.value = self.value.removeprefix(_HOME)
            self.action_end()

    def action_complete(self) -> None:
        """As far as all that fits begins alike."""
        longer = common_beginning(completions(self.value))
        if len(longer) >= len(self.value) and longer != self.value:
            self.value = longer
            self.cursor_position = len(longer)


def _is_path(typed: str) -> bool:
    """Whether it can only be meant as a path, or is one."""
    try:
        return typed[0] in "/~." or exists(as_path(typed))
    except (CompanionError, OSError, ValueError):
        return True


def _no_path(typed: str) -> CompanionError:
    return CompanionError("this name cannot be used", where=typed, next="Check it.")
