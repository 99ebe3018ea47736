"""How taps or a take went: one sentence, the strip, and the numbers on request."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from companion.errors import CompanionError
from companion.practice.attempt import Attempt, HeardBy
from companion.practice.proposed_outcome import heard
from companion.session.drill import Drill
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.widgets.early_late import with_faint_rows
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.judgement_sentences import judgement_told
from companion.wording.score_sentences import bar_span_told

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement


class JudgementScreen(Screen[Attempt | None]):
    """Answers with the attempt that was noted, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,e", "how_did_it_go", "How it went", key_display="⏎"),
        Binding("n", "numbers", "Numbers"),
        Binding("k", "keep", "Keep the take, or delete it"),
        Binding("escape", "back", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("Enter or e", "say how it went; what was heard proposes an outcome"),
        ("n", "the numbers, on and off"),
        ("k", "keep the recording, or it is dropped; again: delete it"),
        ("Escape", "back, nothing is logged"),
    ]

    def __init__(
        self,
        drill: Drill,
        judged: Judgement,
        by: HeardBy,
        keep: Callable[[], Path] | None = None,
        earlier: Sequence[Judgement] = (),
    ) -> None:
        """`keep` writes the take to the disk; None if there is none to keep. `earlier` are the
        attempts before, in order."""
        super().__init__()
        self.drill = drill
        self.judged = judged
        self.by = by
        self.earlier = earlier
        self._keep = keep
        self._kept: Path | None = None
        self._with_numbers = False

    def compose(self) -> ComposeResult:
        """Heading, all that is told, the notice line."""
        passage = self.drill.passage
        yield Heading(f"Heard  {self._bars(passage.first, passage.last)}", passage.part_name)
        with VerticalScroll():
            yield Static(id="judgement-told", markup=False)
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Tell it."""
        self._tell()
        self.query_one(VerticalScroll).focus()

    def _bars(self, first: int, last: int) -> str:
        return bar_span_told(self.drill.open_score, first, last)

    def _tell(self) -> None:
        lines = judgement_told(
            self.judged, self._bars, with_numbers=self._with_numbers, earlier=self.earlier
        )
        self.query_one("#judgement-told", Static).update(with_faint_rows(lines))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only a take can be kept."""
        return action != "keep" or self._keep is not None

    def action_numbers(self) -> None:
        """What was measured, or the advice alone."""
        self._with_numbers = not self._with_numbers
        self._tell()

    def action_keep(self) -> None:
        """Keep the recording; again: delete it."""
        notice = self.query_one(Notice)
        try:
            if self._kept is not None:
                self._kept.unlink(missing_ok=True)
                self._kept = None
                notice.say("The recording is deleted.")
            elif self._keep is not None:
                self._kept = self._keep()
                notice.say(f"Kept: {self._kept}. k: delete it again.")
        except OSError as fault:
            notice.say(f"! The recording could not be deleted ({fault.strerror}).")
        except CompanionError as problem:
            notice.show_error(problem)

    def action_how_did_it_go(self) -> None:
        """Ask how it went, with what was heard as the proposal."""
        proposed = heard(self.judged, self.by)
        self.app.push_screen(OutcomeScreen(self.drill, proposed), self._noted)

    def _noted(self, attempt: Attempt | None) -> None:
        if attempt is not None:
            self.dismiss(attempt)

    def action_back(self) -> None:
        """Back; nothing is logged."""
        self.dismiss(None)
