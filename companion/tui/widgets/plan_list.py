"""A day's plan as a list: what and how fast in one line, why in the next."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from textwrap import wrap
from typing import ClassVar

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from companion.files.folders import Folders
from companion.practice.plan.day_plan import DayPlan, Item
from companion.session.open_score import OpenScore
from companion.session.passage_progress import weeks_until
from companion.session.todays_plan import DayRequest, Today, today
from companion.tui.widgets.changed_lines import shortened
from companion.tui.widgets.progress_lines import weeks_lines
from companion.wording.phrases import counted, day_told
from companion.wording.plan_sentences import minutes_told, where_told, why_told

_LEAST_TITLE = 14
"""Columns in which a title of a score can be told from others."""
WEEKS = 6
"""Weeks that are shown beside a plan."""
INDENT = 14
"""Columns of number, mark and minutes before an item."""
_AROUND = 4
"""Columns of padding and scroll bar around the list."""

_EMPTY = (
    "Nothing to plan yet.\n\n"
    "A plan is made of what you practised and of your goals. Open a score, press Enter on a "
    "bar to see its passage, and drill it; or press G there to set a goal: its tempo "
    "and its day."
)
ALL_SKIPPED = "All skipped; n makes a new plan."
_OF_SCORE = "\n\nOr press f for a plan of the score that is open."
_WHOSE = "\n\nFor a plan of the score that is open, say first which part is yours: m on the map."


class PlanList(OptionList):
    """The items of a plan; the cursor stays at its number when the plan changes."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Open", key_display="⏎"),
    ]

    def __init__(self) -> None:
        super().__init__(id="today-list")
        self._shown: Today | None = None
        self._width = 0

    @property
    def number(self) -> int:
        """Number of the item under the cursor, from 1; 0 if there is none."""
        return 0 if self.highlighted is None or not self.display else self.highlighted + 1

    @property
    def item(self) -> Item | None:
        """What is under the cursor."""
        at = self.highlighted
        items = self._shown.plan.items if self._shown is not None else ()
        return items[at] if at is not None and at < len(items) else None

    def show(self, shown: Today) -> None:
        """Another plan; the first one with passages begins at the first to play."""
        if self._shown is None or not any(item.is_passage for item in self._shown.plan.items):
            self.highlighted = None
        self._shown = shown
        self._fill()

    def on_resize(self, event: events.Resize) -> None:
        """Titles stay at the right edge."""
        if self._width != self.outer_size.width:
            self._fill()

    def _fill(self) -> None:
        if self._shown is None:
            return
        items = self._shown.plan.items
        here = _first_to_play(self._shown) if self.highlighted is None else self.highlighted
        self._width = self.outer_size.width
        width = max(40, self._width - _AROUND)
        rows = zip(items, self._shown.done, strict=True)
        day = date.fromisoformat(self._shown.plan.day)
        self.clear_options()
        self.add_options(
            Option(item_text(number, item, width, day, is_done=is_done))
            for number, (item, is_done) in enumerate(rows, 1)
        )
        self.highlighted = min(here, len(items) - 1) if items else None


def _first_to_play(shown: Today) -> int:
    """Index of the first passage that was not played yet; 0 if there is none."""
    rows = enumerate(zip(shown.plan.items, shown.done, strict=True))
    return next((index for index, (item, done) in rows if item.is_passage and not done), 0)


def item_text(number: int, item: Item, width: int, day: date, *, is_done: bool) -> Text:
    """One item; a passage takes two lines or more, warm-up and rest one."""
    head = f"{number:>2} {'✓' if is_done else ' '} {minutes_told(item):>7}"
    text = Text(f"{head:<{INDENT}}")
    why = wrap(why_told(item, day), width - INDENT)
    if item.is_passage:
        room = width - INDENT
        where = wrap(where_told(item), room)
        text.append(f"\n{' ' * INDENT}".join(where), "bold")
        left = room - cell_len(where[-1]) - 2
        if left >= min(_LEAST_TITLE, cell_len(item.title)):
            text.append(f"  {shortened(item.title, left):>{left}}", "dim")
        text.append(f"\n{' ' * INDENT}")
    text.append(f"\n{' ' * INDENT}".join(why))
    return text


def day_lines(folders: Folders, at: datetime, width: int) -> Iterator[str | Text]:
    """The plan of the day in short, and the weeks up to it."""
    shown = today(folders, at, DayRequest())
    yield Text(plan_told(shown), "bold")
    for item, is_done in zip(shown.plan.items, shown.done, strict=True):
        what = where_told(item) if item.is_passage else why_told(item, at.date())
        yield shortened(f"{minutes_told(item):>7} {'✓' if is_done else ' '} {what}", width)
    is_empty = not (shown.plan.items or shown.plan.skipped)
    yield "Nothing yet: drill a passage or set its goal." if is_empty else "y opens it."
    weeks = weeks_until(folders, at, WEEKS)
    if any(minutes for week in weeks for minutes in week.minutes):
        first, _, *others = weeks_lines(weeks)
        yield ""
        yield Text(first, "bold")
        yield from others


def empty_told(plan: DayPlan, open_score: OpenScore | None) -> str:
    """How to begin where there is nothing to plan, or no longer anything."""
    if plan.skipped:
        return ALL_SKIPPED
    if open_score is None:
        return _EMPTY
    return _EMPTY + (_OF_SCORE if open_score.choices.part else _WHOSE)


def plan_told(shown: Today) -> str:
    """`Today · 22 March 2026, 45 minutes`."""
    day = day_told(date.fromisoformat(shown.plan.day))
    return f"Today · {day}, {counted(shown.plan.minutes, 'minute')}"


def played_told(shown: Today) -> str:
    """`1 of 3 passages played, accepted`; empty if there are none."""
    rows = zip(shown.plan.items, shown.done, strict=True)
    passages = {item.bars: done for item, done in rows if item.is_passage}
    if not passages:
        return ""
    taken = ", accepted" if shown.plan.is_accepted else ""
    return f"{sum(passages.values())} of {counted(len(passages), 'passage')} played{taken}"
