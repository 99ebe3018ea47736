"""What today is for: the plan, each passage with its reason, changed and opened by keys.

A plan that one changes or opens a passage from stays for its day, so that the list does not
shift under the player's hands; only of an accepted one what is not played is planned again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.screen import Screen
from textual.widgets import OptionList, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.library.score_locations import score_of_item
from companion.practice.attempt import Bars, now
from companion.practice.plan.day_plan import (
    DayPlan,
    Item,
    ItemKind,
    accepted,
    moved_item,
    replaced,
    skipped,
)
from companion.session.assigned_exercises import assignment_named
from companion.session.exercise_drill import playable_drill
from companion.session.open_score import OpenScore
from companion.session.passage_progress import weeks_until
from companion.session.todays_plan import (
    DayRequest,
    Today,
    begin_plan,
    change_plan,
    ladder_of_item,
    passage_of_item,
    tempo_of_item,
    today,
)
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.beside import Beside, headline
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.plan_list import (
    ALL_SKIPPED,
    WEEKS,
    PlanList,
    empty_told,
    plan_told,
    played_told,
)
from companion.wording.exercise_sentences import due_told
from companion.wording.phrases import counted
from companion.wording.plan_sentences import warnings_told

_KEYS: list[BindingType] = [
    Binding("a", "accept", "Accept"),
    Binding("u,shift+up", "move(-1)", "Move", key_display="u d"),
    Binding("d,shift+down", "move(1)", show=False),
    Binding("s", "skip", "Skip"),
    Binding("r", "replace", "Replace"),
    Binding("plus", "minutes(1)", "Time", key_display="+-"),
    Binding("minus", "minutes(-1)", show=False),
    Binding("escape", "dismiss", "Back", key_display="esc"),
    Binding("n", "afresh", "New"),
    Binding("f", "filter", show=False),
]
"""What each key does; as many are shown as 80 columns hold, the others are in the help."""

_EXPLAINED = [
    ("↑ ↓", "from item to item"),
    ("Enter", "open the passage, at the planned tempo"),
    ("a", "accept the plan: what is not played is planned again tomorrow"),
    ("u d", "move the item up, down (also Shift+↑ ↓)"),
    ("s", "skip it today, for other minutes too"),
    ("r", "replace it with the next candidate"),
    ("+ -", "five minutes more, five fewer"),
    ("n", "make a new plan; what was skipped may return"),
    ("f", "only the score that is open, or every score"),
]
"""The same in words, for the help."""

_OF_ITEMS = ("accept", "move", "skip", "replace")


_LEGEND = "✓ played today  accepted: the rest comes again tomorrow"
_LOOKING = "Looking through the log …"
STEP = 5
"""Minutes more or less with one key."""


class TodayScreen(Screen[None]):
    """The plan of one practice day."""

    CSS_PATH = "today_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = _KEYS
    HELP: ClassVar[list[tuple[str, str]]] = _EXPLAINED  # type: ignore[assignment]

    @dataclass
    class Looked(Message):
        """What came of looking through the log."""

        day_request: DayRequest
        outcome: Today | CompanionError

    def __init__(
        self, folders: Folders, open_score: OpenScore | None, clock: Callable[[], datetime] = now
    ) -> None:
        """`open_score` is the score that is open; `clock` says what moment it is."""
        super().__init__()
        self.folders = folders
        self.open_score = open_score
        self.clock = clock
        has_part = open_score is not None and open_score.choices.part
        self._usual = DayRequest(beside=open_score if has_part else None)
        self.day_request = self._usual
        self.shown: Today | None = None

    def compose(self) -> ComposeResult:
        """Heading, the items, what one should know first, what the signs mean."""
        yield Heading("Today")
        with Horizontal():
            yield PlanList()
            yield Static(_LOOKING, id="today-empty", markup=False)
            yield Beside(classes="-from-wide")
        yield Static(id="today-notes", markup=False)
        yield OneLine(_LEGEND, id="today-legend")
        yield Notice()
        yield KeyLine()

    def on_screen_resume(self) -> None:
        """Look again: what was just practised is ticked off."""
        self._look(self.day_request)

    @property
    def list(self) -> PlanList:
        """The items."""
        return self.query_one(PlanList)

    @property
    def notice(self) -> Notice:
        """The line for messages."""
        return self.query_one(Notice)

    @work(thread=True)
    def _look(self, day_request: DayRequest) -> None:
        """In a thread: after a long pause ten years are looked through again."""
        outcome: Today | CompanionError
        try:
            outcome = today(self.folders, self.clock(), day_request)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Looked(day_request, outcome))

    def on_today_screen_looked(self, message: Looked) -> None:
        """Show it, unless something else was wished meanwhile."""
        if message.day_request is not self.day_request:
            return
        if isinstance(message.outcome, CompanionError):
            self.notice.show_error(message.outcome)
            if self.shown is not None:
                self.day_request = replace(self.day_request, minutes=self.shown.plan.minutes)
            return
        is_first = self.shown is None
        self._show(message.outcome)
        if is_first and self._is_all_of_open_score and self.open_score is not None:
            self.notice.say(f"Nothing else is due: planned from {self.open_score.score.title}.")
            self.day_request = DayRequest(open_score=self.open_score)

    @property
    def _has_passages(self) -> bool:
        return self.shown is not None and any(item.is_passage for item in self.shown.plan.items)

    @property
    def _has_rows(self) -> bool:
        """A warm-up alone is no plan, unless it is what is left of one."""
        plan = self.shown.plan if self.shown is not None else None
        return self._has_passages or (plan is not None and bool(plan.skipped and plan.items))

    @property
    def _is_all_of_open_score(self) -> bool:
        """Whether the plan is made of new passages of the score that is open alone."""
        if self.shown is None or self.day_request.beside is None:
            return False
        bars = [item.bars for item in self.shown.plan.items if item.kind is ItemKind.NEW]
        kinds = {item.kind for item in self.shown.plan.items if item.is_passage}
        kinds.discard(ItemKind.EXERCISE)
        digest = self.day_request.beside.digest
        return kinds == {ItemKind.NEW} and all(b and b.score_digest == digest for b in bars)

    def _wish(self, day_request: DayRequest) -> None:
        self.day_request = day_request
        self._look(day_request)

    def _show(self, shown: Today) -> None:
        self.shown = shown
        plan = shown.plan
        self.list.display = self._has_rows
        self.list.show(shown)
        if self._has_rows:
            self.list.focus()
        empty = self.query_one("#today-empty", Static)
        empty.display = not self._has_rows
        empty.update(empty_told(plan, self.open_score))
        day = date.fromisoformat(plan.day)
        left = (ALL_SKIPPED,) if self._has_rows and not self._has_passages else ()
        due = (due_told(one, day) for one in shown.due)
        notes = "\n".join((*left, *due, *(f"Note: {one}" for one in warnings_told(plan))))
        self.query_one("#today-notes", Static).update(notes)
        self._show_beside()
        self.refresh_bindings()
        heading = self.query_one(Heading)
        heading.title, heading.right = plan_told(shown), played_told(shown)

    def on_option_list_option_highlighted(self) -> None:
        """On a wide terminal, the weeks, and how what is under the cursor goes."""
        self._show_beside()

    def _show_beside(self) -> None:
        item = self.list.item
        self.query_one(Beside).show(partial(self._beside, item.bars if item else None))

    def _beside(self, bars: Bars | None, width: int, height: int) -> Iterator[str | Text]:
        from companion.tui.widgets.progress_lines import history_lines, weeks_lines

        at = self.clock()
        weeks = weeks_until(self.folders, at, WEEKS)
        first, _, *others = weeks_lines(weeks)
        yield headline(first)
        yield from others
        if bars is not None:
            yield ""
            rows = height - len(others) - 2
            yield from history_lines(self.folders, bars, at, width, rows)

    def _change(self, how: Callable[[DayPlan], DayPlan], said: str, to: int | None = None) -> None:
        """Change the plan and keep it for the day; `to` is the index to go to."""
        if self.shown is None:
            return
        try:
            shown = change_plan(self.folders, self.shown, how)
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self.day_request = self._usual
        if to is not None:
            self.list.highlighted = to
        self._show(shown)
        self.notice.say(said)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Without items there is nothing to do with one."""
        return action not in _OF_ITEMS or self._has_rows

    def action_accept(self) -> None:
        """Take the plan as it is."""
        self._change(accepted, "Accepted: what is not played is planned again tomorrow.")

    def action_move(self, by: int) -> None:
        """Put the item under the cursor earlier or later."""
        number = self.list.number
        if number and self.shown and 1 <= number + by <= len(self.shown.plan.items):
            how = partial(moved_item, number=number, to=number + by)
            self._change(how, f"Item {number} is now item {number + by}.", number + by - 1)

    def action_skip(self) -> None:
        """Leave the item under the cursor out."""
        if number := self.list.number:
            how = partial(skipped, number=number)
            self._change(how, "Skipped today.")

    def action_replace(self) -> None:
        """Something else for the item under the cursor."""
        if number := self.list.number:
            self._change(partial(replaced, number=number), f"Item {number} replaced.")

    def action_minutes(self, by: int) -> None:
        """A plan for more or fewer minutes."""
        if self.shown is not None:
            asked = self.day_request.minutes or self.shown.plan.minutes
            self._wish(replace(self.day_request, minutes=asked + by * STEP))
            self.notice.say(f"New plan for {counted(asked + by * STEP, 'minute')}: a accepts it.")

    def action_afresh(self) -> None:
        """Make the plan again."""
        self._wish(replace(self.day_request, is_afresh=True))
        self.notice.say("New plan from the log as it is now.")

    def action_filter(self) -> None:
        """Only the score that is open, or every score."""
        if self.open_score is None:
            self.notice.say("No score is open, so the plan covers every score.")
            return
        is_all = self.day_request.open_score is None
        wish = replace(self.day_request, open_score=self.open_score if is_all else None)
        self._wish(replace(wish, beside=None))
        title = self.open_score.score.title
        self.notice.say(f"Only {title}." if is_all else "Every score in the log.")

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the passage under the cursor."""
        if self.shown is None:
            return
        item = self.shown.plan.items[event.option_index]
        try:
            path = score_of_item(self.folders, item)
            if begin_plan(self.folders, self.shown):
                self.day_request = self._usual
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        opened = self._practise if item.exercise else self._open
        app_of(self).read_score(path, partial(opened, item), self.notice.show_error)

    def _open(self, item: Item, open_score: OpenScore) -> None:
        try:
            chosen = passage_of_item(open_score, item)
        except CompanionError as problem:
            self.notice.show_error(problem)
        else:
            planned = ladder_of_item(chosen, item) or tempo_of_item(chosen, item)
            app_of(self).open_passage(open_score, chosen, planned)

    def _practise(self, item: Item, _: OpenScore) -> None:
        """The drill of an exercise, set as the teacher asked."""
        from companion.tui.screens.exercise_passage_screen import ExercisePassageScreen

        try:
            assignment = assignment_named(self.folders, item.exercise)
            playable = playable_drill(assignment, item.drill, self.folders)
        except CompanionError as problem:
            self.notice.show_error(problem)
        else:
            shown = ExercisePassageScreen(assignment, item.drill, playable, self.folders)
            self.app.push_screen(shown)
