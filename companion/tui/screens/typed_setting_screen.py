"""A wish typed in the trade's own words, refused in place where it means nothing.

Tempo plans, silences and company each have more shapes than a screen has room for
switches; a teacher writes them in the margin in half a line. Examples stand beside the
field, and what is set now stands in it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Footer, Input, Static

from companion.errors import RequestError


class TypedSettingScreen(ModalScreen[str | None]):
    """Answers with words that `read` accepted, or None after Escape."""

    CSS_PATH = "typed_setting_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]

    def __init__(
        self,
        title: str,
        words: str,
        examples: Sequence[tuple[str, str]],
        read: Callable[[str], object],
    ) -> None:
        """`words` say what is set now; `read` raises RequestError for words that mean nothing."""
        super().__init__()
        self.box_title = title
        self.words = words
        self.examples = examples
        self.trouble = ""
        self._read = read

    def compose(self) -> ComposeResult:
        """The field, what can be written there, and what is wrong with it."""
        with Vertical(id="in-words-box"):
            yield Input(self.words, id="in-words")
            yield Static(_listed(self.examples))
            yield Static(id="in-words-trouble")
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Ready to type over what is set."""
        box = self.query_one("#in-words-box")
        box.border_title = self.box_title
        box.border_subtitle = "Enter sets it"
        self.query_one(Input).focus()
        self.query_one(Input).select_all()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Answer, or say why not and leave what was typed."""
        event.stop()
        try:
            self._read(event.value)
        except RequestError as problem:
            self.trouble = problem.sentence()
            self.query_one("#in-words-trouble", Static).update(Text(f"! {self.trouble}"))
        else:
            self.dismiss(event.value)


def _listed(examples: Sequence[tuple[str, str]]) -> Text:
    width = max((len(words) for words, _ in examples), default=0)
    text = Text()
    for words, means in examples:
        text.append(f"{words:<{width}}  ", "bold")
        text.append(f"{means}\n")
    text.rstrip()
    return text
