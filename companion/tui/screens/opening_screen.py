"""The first screen: a path to type, the scores practised lately, the built-in score.

One list serves all three: it offers files while a path is typed, and what was practised
while nothing is, so that a player who comes back needs no more than Enter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer, Input, OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders, demo_score
from companion.files.score_paths import as_path, common_beginning, completions
from companion.journal.log_entries import practised_scores
from companion.library.index_store import found_in, indexes
from companion.library.indexed_score import Index
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.heading import Heading, line_of
from companion.tui.widgets.notice import Notice
from companion.wording.phrases import day_told

TYPED = "Matching files (Tab completes) and scores of your libraries: ↓ and Enter"
LATELY = "Recent scores, and the built-in score: ↑↓ and Enter"
NEW_HERE = "Nothing practised yet: press Enter for the built-in score, or o to type a path"


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One line of the list."""

    path: str
    """What it opens; a folder ends in a slash."""
    left: str
    """What it is called."""
    right: str = ""
    """When it was practised, or where it comes from."""


class OpeningScreen(Screen[None]):
    """Choose a score."""

    CSS_PATH = "opening_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o", "type", "Type a path"),
        Binding("y", "app.today", "Today"),
        Binding("x", "app.exercises", "Exercises"),
        Binding("escape", "clear", show=False),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓ Enter", "choose from the list"),
        ("o", "type the path of a score (~ is your home folder), or words of its title,"),
        ("", "composer or parts, mixed, 3:2 … to search the libraries you have indexed"),
        ("y", "today's plan: passages that are due, next tempos, new ones"),
        ("x", "exercises: assigned and built in"),
        ("Tab", "while typing: complete the name"),
        ("↓", "while typing: to the list of matches"),
        ("Escape", "while typing: clear the path"),
        ("F1", "this help, while typing too"),
    ]

    problem: reactive[CompanionError | None] = reactive[CompanionError | None](None)
    """Why the last score could not be opened."""

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders
        self.suggestions: list[Suggestion] = []
        self.hint = ""
        self.libraries: tuple[Index, ...] = ()

    def compose(self) -> ComposeResult:
        """Heading, the field, the list, a line for trouble."""
        yield Heading("companion: where the parts of a score pull against each other")
        yield _PathInput(placeholder="path of a score, or words to search for", id="opening-path")
        yield Static(id="opening-hint", markup=False)
        yield OptionList(id="opening-list")
        yield Notice()
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Begin in the list: Enter alone opens something."""
        self.query_one("#opening-path").border_title = "Score"
        self._suggest_practised()
        self.set_focus(self.query_one(OptionList))

    def on_screen_resume(self) -> None:
        """What was just practised comes first."""
        self.libraries = indexes(self.folders)
        if not self._path.value:
            self._suggest_practised()

    def show_error(self, problem: CompanionError) -> None:
        """Say why a score could not be opened."""
        self.problem = problem

    def tell(self, said: str) -> None:
        """Say what was done."""
        self.query_one(Notice).say(said)

    def watch_problem(self, problem: CompanionError | None) -> None:
        """Show it, or show nothing once it is over."""
        for notice in self.query(Notice):
            notice.clear() if problem is None else notice.show_error(problem)

    @property
    def _path(self) -> Input:
        return self.query_one("#opening-path", Input)

    def _suggest_practised(self) -> None:
        try:
            scores = practised_scores(self.folders)
        except CompanionError as problem:
            scores = []
            self.show_error(problem)
        suggestions = [
            Suggestion(
                str(score.path),
                score.title or score.path.name,
                day_told(score.last) if score.path.exists() else "missing",
            )
            for score in scores
        ]
        self._suggest([*suggestions, *_demo()], LATELY if scores else NEW_HERE)

    def _suggest(self, suggestions: list[Suggestion], hint: str) -> None:
        self.suggestions = suggestions
        self.hint = hint
        self.query_one("#opening-hint", Static).update(hint)
        width = max(20, self.size.width - 4)
        found = self.query_one(OptionList)
        found.clear_options()
        found.add_options(
            Option(Text(line_of(suggestion.left, suggestion.right, width)))
            for suggestion in suggestions
        )
        found.highlighted = 0 if suggestions else None

    def on_resize(self) -> None:
        """Dates stay at the right edge."""
        if self.suggestions:
            self._suggest(self.suggestions, self.hint)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Offer what fits."""
        self.problem = None
        if not event.value:
            self._suggest_practised()
            return
        files = [Suggestion(path, path) for path in completions(event.value)]
        scores = [
            Suggestion(str(found.path), found.title, f"{found.parts} parts, {found.path.name}")
            for found in found_in(self.libraries, event.value)
        ]
        self._suggest([*files, *scores], TYPED)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Open what was typed."""
        if event.value.strip():
            self._open(event.value.strip())

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open a score; look into a folder."""
        self._open(self.suggestions[event.option_index].path)

    def _open(self, path: str) -> None:
        if path.endswith("/"):
            self._path.value = path
            self._path.cursor_position = len(path)
            self.set_focus(self._path)
            return
        self.problem = None
        try:
            app_of(self).open_path(as_path(path))
        except CompanionError as problem:
            self.show_error(problem)

    def action_type(self) -> None:
        """To the field, at once, so that fast typing is not lost."""
        self.set_focus(self._path)

    def action_clear(self) -> None:
        """Empty the field and go back to the list."""
        self._path.value = ""
        self.problem = None
        self.set_focus(self.query_one(OptionList))


class _PathInput(Input):
    """A field in which Tab completes as a shell does, and ↓ goes on to the list."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "complete", "Complete"),
        Binding("down", "app.focus_next", "Into the list"),
        Binding("escape", "screen.clear", "Clear", key_display="esc"),
        Binding("f1", "app.help", "Help", key_display="F1"),
    ]

    def action_complete(self) -> None:
        """As far as all that fits begins alike."""
        longer = common_beginning(completions(self.value))
        if len(longer) >= len(self.value) and longer != self.value:
            self.value = longer
            self.cursor_position = len(longer)


def _demo() -> list[Suggestion]:
    try:
        return [
            Suggestion(str(demo_score()), "The built-in score: a quartet in several meters", "demo")
        ]
    except CompanionError:
        return []
