"""What a coach would say of the page: the study sheet, and all that was found behind it.

Each sentence names its bars; Enter on one opens them to be practised.
"""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.publish.study_sheet import Study, headed, left_told, study
from companion.score.passage import passage
from companion.session.open_score import OpenScore
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_preview import PassagePreview
from companion.wording.advice import Advice
from companion.wording.score_sentences import bar_span_told

_LOOKING = "Looking through the score …"
_NOTHING = "No conflicts with this part, and nothing returns."
_LEGEND = "Enter practises  ~ by rule of thumb; you may disagree"


class StudyScreen(Screen[None]):
    """The score explained to the player of one part."""

    CSS_PATH = "study_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "practise", "Practise", key_display="⏎"),
        Binding("x", "everything", "Sheet / everything"),
        Binding("n", "numbers", "Numbers"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓", "from sentence to sentence"),
        ("Enter", "practise the bars it names"),
        ("x", "the essentials, or everything found"),
        ("n", "why a conflict is easy or hard, in numbers"),
    ]

    def __init__(self, open_score: OpenScore, part: int, folders: Folders) -> None:
        super().__init__()
        self.open_score = open_score
        self.part = part
        self.folders = folders
        self.study: Study | None = None
        self.shows_everything = False
        self.shows_numbers = False
        self.shown: list[Advice | None] = []

    def compose(self) -> ComposeResult:
        """Heading, the sentences, what the signs mean."""
        yield Heading(
            f"Study · {self.open_score.score.title}",
            f"{self.open_score.score.parts[self.part].name} ●",
        )
        with Horizontal():
            yield OptionList(id="study-list")
            yield PassagePreview(classes="beside -from-wide")
        yield OneLine(_LOOKING, id="study-legend")
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Look through the score in a thread: a long one takes a moment."""
        self._look()
        self.list.focus()

    @property
    def list(self) -> OptionList:
        """The sentences."""
        return self.query_one(OptionList)

    @work(thread=True, exclusive=True)
    def _look(self) -> None:
        found = study(self.open_score, self.part)
        self.app.call_from_thread(self._found, found)

    def _found(self, found: Study) -> None:
        self.study = found
        self.query_one("#study-legend", Static).update(_LEGEND)
        self._fill()

    def _fill(self) -> None:
        assert self.study is not None
        chosen = self.study.everything if self.shows_everything else self.study.sheet
        self.shown = []
        options: list[Option] = []
        for heading, about in headed(self.open_score, chosen):
            options.append(Option(Text(heading, style="bold"), disabled=True))
            options += [Option(_sentence(each, has_numbers=self.shows_numbers)) for each in about]
            self.shown += [None, *about]
        if self.study.left and not self.shows_everything:
            told = left_told(
                self.study.left, lambda one, other: bar_span_told(self.open_score, one, other)
            )
            options.append(Option(Text(f"{told} x shows all."), disabled=True))
            self.shown.append(None)
        self.list.clear_options()
        self.list.add_options(options or [Option(_NOTHING, disabled=True)])
        self.list.highlighted = 1 if chosen else None

    def action_everything(self) -> None:
        """The sheet, or all of it."""
        if self.study is not None:
            self.shows_everything = not self.shows_everything
            self._fill()

    def action_numbers(self) -> None:
        """The numbers behind easy, moderate and hard, or not."""
        if self.study is not None:
            self.shows_numbers = not self.shows_numbers
            self._fill()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the bars of a sentence."""
        advice = self.shown[event.option_index]
        if advice is None:
            return
        try:
            chosen = passage(self.open_score.clock, self.part, advice.first, advice.last)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            app_of(self).open_passage(self.open_score, chosen)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """On a wide terminal, the notes of what the sentence is about."""
        advice = self.shown[event.option_index] if event.option_index < len(self.shown) else None
        if advice is not None:
            self.query_one(PassagePreview).show(
                self.open_score, self.part, advice.first, advice.last, advice.first
            )

    def action_practise(self) -> None:
        """Enter, wherever the focus is."""
        self.list.action_select()


def _sentence(advice: Advice, *, has_numbers: bool) -> Text:
    text = Text(f"  {advice.text}")
    if advice.because and has_numbers:
        text.append(f" ({'; '.join(advice.because)})", style="dim")
    if advice.is_heuristic:
        text.append(" ~")
    return text
