"""Any form: rows to choose in, a line to type in, and a sentence of what will happen.

Rows and line say the same at every moment; a form that asks for the player's own words has
rows only. Enter sets it, Escape leaves everything as it was,
and Ctrl+Z puts back what stood there when the form was opened.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import ClassVar, Generic

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.suggester import Suggester
from textual.widgets import Input, Label, Static

from companion.errors import CompanionError
from companion.tui.widgets.form import Form, R, Row, T
from companion.tui.widgets.form_row import LABEL_WIDTH, FormRow
from companion.tui.widgets.key_line import KeyLine


class FormScreen(ModalScreen[R | None], Generic[T, R]):
    """Answers with what the form's `done` does, or None after Escape."""

    CSS_PATH = "form_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "done", "Set", key_display="⏎"),
        Binding("ctrl+z", "restore", "As it was", key_display="^z", priority=True),
        Binding("escape", "leave", "Leave as it is", key_display="esc"),
        Binding("tab", "row(1)", show=False),
        Binding("shift+tab", "row(-1)", show=False),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓", "from row to row (also Tab)"),
        ("← →", "the next, the one before; Space too"),
        ("PgUp PgDn", "a long step: five, or a week"),
        ("letters", "typed into the line, or over a number or a day; → completes a word"),
        ("Delete", "empties it"),
        ("Enter", "set it"),
        ("Ctrl+Z", "put back what stood there; again: what you had chosen"),
        ("Escape", "leave everything as it is"),
    ]

    def __init__(self, form: Form[T, R], state: T) -> None:
        """`state` is what is set now."""
        super().__init__()
        self.form = form
        self.state = state
        self.refused = ""
        """Why the line, a step or Enter was refused last; empty if it was not."""
        self._before = self._aside = state
        self._words = form.words(state)

    def compose(self) -> ComposeResult:
        """The rows, the line, what can be written there, what will happen."""
        with Vertical(id="form-box"):
            yield VerticalScroll(id="form-rows", can_focus=False)
            with Horizontal(id="form-typed") as typed:
                typed.display = bool(self.form.line)
                yield Label(f"{self.form.line:<{LABEL_WIDTH}} ", markup=False)
                yield _Line(
                    self._words,
                    id="form-line",
                    suggester=_LastWord(self.form.known),
                    select_on_focus=False,
                    compact=True,
                )
            yield Static(_listed(self.form.examples), id="form-examples")
            yield Static(id="form-told", markup=False)
        yield KeyLine()

    async def on_mount(self) -> None:
        """Begin with the first row, or ready to type over what is set if there is none."""
        if self not in self.app.screen_stack:  # closed while it opened
            return
        box = self.query_one("#form-box")
        box.border_title = self.form.title
        box.border_subtitle = f"{self.form.enter} · Esc leaves it"
        await self._show()
        if self not in self.app.screen_stack:
            return
        rows = list(self.query(FormRow))
        self.set_class(not rows, "-typed")
        if rows:
            self.set_focus(rows[0])
        else:
            self.line.focus()
            self.line.select_all()

    @property
    def line(self) -> Input:
        """The line in words."""
        return self.query_one("#form-line", Input)

    async def _show(self) -> None:
        """Each row by its label: it stays the same if others come or go above it."""
        if not (boxes := self.query("#form-rows")):  # closed while it opened
            return
        box = boxes.first()
        left = list(self.query(FormRow))
        rows: list[FormRow] = []
        for row in self.form.rows(self.state):
            known = next((one for one in left if one.row.label == row.label), None)
            if known is None:
                known = FormRow(row, self.type_in_line)
                first = 0 if box.children and not rows else None
                await box.mount(known, before=first, after=rows[-1] if rows else None)
            else:
                left.remove(known)
                known.show(row)
            rows.append(known)
        self._keep_focus(rows, left)
        for gone in left:
            await gone.remove()
        self._tell()

    def _keep_focus(self, rows: list[FormRow], gone: list[FormRow]) -> None:
        """Not on a row that goes: on the one that is now in its place."""
        if self.focused in gone:
            place = list(self.query(FormRow)).index(self.focused)
            self.set_focus(rows[min(place, len(rows) - 1)] if rows else self.line)

    def _tell(self) -> None:
        sentence, problem = "", self.problem
        if not problem:
            try:
                sentence = self.form.told(self.state)
            except CompanionError as cannot_be:
                problem = cannot_be.sentence()
        for told in self.query("#form-told").results(Static):
            told.set_class(bool(problem), "-error")
            told.update(Text(f"! {problem}" if problem else sentence))

    async def _make(self, change: Callable[[], T], *, keeps_line: bool = False) -> None:
        """Set what a change makes, in the rows and in the line; or say why it cannot be."""
        try:
            self.state = change()
            self.refused = ""
        except CompanionError as problem:
            self.refused = problem.sentence()
        if not keeps_line and not self.refused:
            self._write(self.form.words(self.state))
        await self._show()

    def _write(self, words: str) -> None:
        self._words = words
        self.line.value = words

    @property
    def problem(self) -> str:
        """Why what is typed cannot be set, in the line or over a row; empty if it can."""
        over_rows = (row.problem for row in self.query(FormRow) if row.problem)
        return self.refused or next(over_rows, "")

    def _row(self, shown: FormRow) -> Row[T] | None:
        """What a row is for; None if it went while its key was on the way."""
        rows = self.form.rows(self.state) if shown.is_attached else ()
        return next((row for row in rows if row.label == shown.row.label), None)

    def action_row(self, by: int) -> None:
        """To the next row, or the one before; the line is the last. The toolkit goes by where
        things are drawn, and a row that is new is not drawn yet."""
        rows = [*self.query(FormRow), *self.query(_Line)]
        rows = [row for row in rows if row.focusable and (row is not self.line or self.form.line)]
        here = rows.index(self.focused) if self.focused in rows else -by
        if rows:
            self.set_focus(rows[(here + by) % len(rows)])

    async def on_form_row_stepped(self, event: FormRow.Stepped) -> None:
        """The next, or the one before."""
        if (row := self._row(event.row)) is not None:
            await self._make(lambda: row.step(event.by))

    async def on_form_row_typed(self, event: FormRow.Typed) -> None:
        """Over a number or a day."""
        await self._take_typed(event.row)

    async def _take_typed(self, shown: FormRow) -> None:
        """Set what is typed over a row; what cannot be set stays there, with the reason, until
        it is mended or nothing is typed any more."""
        row, words = self._row(shown), shown.words
        if row is None or row.typed is None or words is None:
            return
        made, shown.problem = self.state, ""
        try:
            made = row.typed(words)
        except CompanionError as problem:
            shown.problem = problem.sentence() if shown.is_typed else ""
        if not shown.is_typed or not (shown.problem or shown.has_focus):
            shown.forget_typed()
        await self._make(lambda: made)

    def type_in_line(self, words: str) -> None:
        """In place of what the line says; after what was typed there already."""
        if not self.form.line:
            return
        if self.focused is self.line:
            self.line.insert_text_at_cursor(words)
            return
        self.set_focus(self.line)
        self.line.value = words
        self.line.cursor_position = len(words)

    def on_key(self, event: Key) -> None:
        """What was typed before there was a row to type in."""
        if isinstance(self.focused, FormRow):
            self.focused.on_key(event)
        elif event.is_printable and event.character:
            self.type_in_line(event.character)

    async def on_input_changed(self, event: Input.Changed) -> None:
        """The line was typed in."""
        event.stop()
        if event.value == self.line.value:
            await self._read_line()

    async def _read_line(self) -> None:
        typed = self.line.value
        if typed != self._words:
            self._words = typed
            self._forget_typed()  # the line says all of it anew
            await self._make(lambda: self.form.read(typed, self.state), keeps_line=True)

    def on_descendant_focus(self) -> None:
        """Examples while the line is typed, if there is room for both."""
        self.set_class(self.line.has_focus or not self.query(FormRow), "-typed")

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        """As Enter anywhere."""
        event.stop()
        await self.action_done()

    async def action_done(self) -> None:
        """Answer, or say why not and leave what was typed."""
        await self._read_line()
        for row in self.query(FormRow):
            await self._take_typed(row)
            if row.problem:
                self.set_focus(row)
                return
        if self.problem:
            return
        try:
            self.finish()
        except CompanionError as problem:
            self.refused = problem.sentence()
            self._tell()

    def finish(self) -> None:
        """Do it and answer. Raises CompanionError."""
        self.dismiss(self.form.done(self.state))

    def _forget_typed(self) -> None:
        for row in self.query(FormRow):
            row.forget_typed()

    def action_leave(self) -> None:
        """Leave everything as it was."""
        self.dismiss(None)

    async def action_restore(self) -> None:
        """What stood there; pressed again, what was chosen since."""
        had_problem = bool(self.problem)
        self._forget_typed()
        if self.state != self._before:
            self.state, self._aside = self._before, self.state
        elif not had_problem:
            self.state = self._aside
        await self._make(lambda: self.state)


class _Line(Input):
    """Up leads back to the rows."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "screen.row(-1)", show=False),
        Binding("down", "screen.row(1)", show=False),
    ]


class _LastWord(Suggester):
    """Completes the word that is being typed."""

    def __init__(self, known: Sequence[str]) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self._known = known

    async def get_suggestion(self, value: str) -> str | None:
        """The line with its last words completed; None if nothing begins so."""
        for tail in (value.rsplit(",")[-1].lstrip(), re.split(r"[ ,]", value)[-1]):
            for word in self._known:
                if tail and word.casefold().startswith(tail.casefold()) and len(word) > len(tail):
                    return value + word[len(tail) :]
        return None


def _listed(examples: Sequence[tuple[str, str]]) -> Text:
    width = max((len(words) for words, _ in examples), default=0)
    text = Text()
    for words, means in examples:
        text.append(f"{words:<{width}}  ", "bold")
        text.append(f"{means}\n")
    text.rstrip()
    return text
