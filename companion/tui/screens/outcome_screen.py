"""How did it go? One key answers, and the answer is on disk before the question closes.

What was played last is asked first, then what was played before it in other settings.
"""

from __future__ import annotations

from textwrap import wrap
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from companion.errors import CompanionError
from companion.practice.attempt import KEYS, Attempt, Heard, Outcome
from companion.session.drill import Drill
from companion.session.tally import Stretch
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.drill_sentences import earlier_told, not_through_told, stretch_told
from companion.wording.log_sentences import OUTCOME_MEANINGS, proposal_told

_WIDEST = 80
"""Columns of the box (outcome_screen.tcss)."""


class OutcomeScreen(ModalScreen[Attempt | None]):
    """Answers with the first attempt that was noted, or None."""

    CSS_PATH = "outcome_screen.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"say('{key}')", outcome.value) for key, outcome in KEYS.items()),
        Binding("enter", "take", "As heard", key_display="⏎"),
        Binding("n", "write", "Write a note"),
        Binding("escape", "back", "Skip", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        *((key, f"{outcome.value}: {OUTCOME_MEANINGS[outcome]}") for key, outcome in KEYS.items()),
        ("Enter", "as it was heard, if anything listened"),
        ("n", "write a note first; Enter returns here"),
        ("Escape", "skip: nothing more is logged"),
    ]

    def __init__(self, drill: Drill, heard: Heard | None = None) -> None:
        """`heard` proposes an outcome of what was played last; it is kept beside the player's
        word."""
        super().__init__()
        self.drill = drill
        self.heard = heard
        self._noted: Attempt | None = None
        self._can_hold = True

    def compose(self) -> ComposeResult:
        """The four outcomes, a field for a note."""
        with Vertical(id="outcome-box"):
            yield Static(id="outcome-asked", markup=False)
            if self.heard is not None:
                yield Static(proposal_told(self.heard), id="outcome-heard", markup=False)
            yield Static(id="outcome-keys")
            yield Static(id="outcome-why", markup=False)
            yield Static(id="outcome-earlier", markup=False)
            yield Input(placeholder="n: a note for next time (optional)", id="outcome-note")
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Ask about what was played last."""
        self._ask(self.drill.unrated[0], "How did it go? Press 1, 2, 3 or 4")

    def _ask(self, stretch: Stretch, title: str) -> None:
        self._asked = stretch
        self.query_one("#outcome-box").border_title = title
        for name, told in (
            ("asked", stretch_told(self.drill, stretch)),
            ("why", not_through_told(self.drill, stretch)),
            ("earlier", earlier_told(self.drill, stretch)),
        ):
            line = self.query_one(f"#outcome-{name}", Static)
            line.update(told)
            line.display = bool(told)
        can_hold = self.drill.rated_as(stretch, Outcome.HELD) is not None
        self._can_hold = can_hold
        self._list_outcomes()
        self.query_one(Input).value = ""

    def _list_outcomes(self) -> None:
        """Each meaning below itself if it takes two lines."""
        width = min(self.app.size.width, _WIDEST) - 4
        told = outcomes_listed(width, can_hold=self._can_hold)
        self.query_one("#outcome-keys", Static).update(told)

    def on_resize(self) -> None:
        """Other lines have room."""
        self._list_outcomes()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Enter is only offered if something was heard."""
        return action != "take" or (self.heard is not None and self._noted is None)

    def action_take(self) -> None:
        """Note it as it was heard."""
        if self.heard is not None:
            self._note(self.heard.outcome)

    def action_say(self, key: str) -> None:
        """Note it in the player's own word."""
        self._note(KEYS[key])

    def say_number(self, count: int) -> None:
        """The outcome whose key has this number; another number says nothing."""
        if str(count) in KEYS:
            self.action_say(str(count))

    def _note(self, outcome: Outcome) -> None:
        """Where it cannot be kept, say why and go on asking; then ask about what was before."""
        note = self.query_one(Input).value.strip()
        heard = self.heard if self._noted is None else None
        try:
            attempt = self.drill.attempt(outcome, note, heard, self._asked)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self._noted = self._noted or attempt
        left = [stretch for stretch in self.drill.unrated if not stretch.is_a_moment]
        if not left:
            self.dismiss(self._noted)
            return
        self._ask(left[0], "And before that? Press 1, 2, 3 or 4")
        for shown in self.query("#outcome-heard"):
            shown.display = False
        self.refresh_bindings()

    def action_write(self) -> None:
        """Into the field for a note."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """The note is written; now one of the four keys."""
        event.stop()
        self.set_focus(None)

    def action_back(self) -> None:
        """Out of the field; outside it, out of the question."""
        if self.query_one(Input).has_focus:
            self.set_focus(None)
        else:
            self.dismiss(self._noted)


def outcomes_listed(width: int, *, can_hold: bool = True) -> Text:
    """The four outcomes and what they mean in so many columns; faint what cannot be said."""
    text = Text()
    for key, outcome in KEYS.items():
        head = f"{key}  {outcome.value:<12}"
        lines = wrap(OUTCOME_MEANINGS[outcome], max(10, width - len(head)))
        is_faint = not can_hold and key in "34"
        text.append("\n" * bool(text))
        text.append(head, "dim" if is_faint else "bold")
        text.append(f"\n{' ' * len(head)}".join(lines), "dim" if is_faint else "")
    return text
