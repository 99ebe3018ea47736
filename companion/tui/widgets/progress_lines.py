"""How practice went, in lines of text: one passage, a part bar by bar, the weeks.

Kept apart from the screen so that what a player reads can be tested as plain text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from textwrap import wrap

from rich.text import Text

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.practice.attempt import Bars
from companion.practice.mastery.progress_series import Week
from companion.practice.mastery.standing import Standing
from companion.practice.mastery.states import MasteryState
from companion.publish.text_charts import STATES, calendar_lines, curve, heat_lines
from companion.session.passage_progress import History, PartProgress, passage_history
from companion.tui.widgets.changed_lines import items_wrapped
from companion.tui.widgets.heading import line_of
from companion.wording.mastery_sentences import mastery, share_told
from companion.wording.phrases import bars_told, day_told, passage_told

WIDEST = 100
"""Columns of a curve at most; wider ones are not read better."""
_LEAST, _MOST = 6, 14
"""Rows of a curve."""
_AROUND_CURVE = 5
"""Rows around a curve: a free one, the axis, the days, the legend, which may take two."""


def passage_lines(found: History, width: int, height: int) -> Iterator[str]:
    """How a passage stands, why, what would move it up, and its tempo against its goal."""
    one, judged = found.stands, mastery(found.stands, found.today)
    where = passage_told(one.bars, one.part_name, one.label)
    lines = [f"{where}: {STATES[judged.state]} {judged.state.value}", "Why?"]
    for reason in judged.reasons:
        lines += wrap(reason, width, initial_indent="· ", subsequent_indent="  ")
    lines += wrap(judged.next, width)
    yield from lines
    if found.points:
        rows = min(max(height - len(lines) - _AROUND_CURVE, _LEAST), _MOST)
        yield ""
        *drawn, legend = curve(found.points, found.goal, min(width, WIDEST), rows)
        yield from drawn
        yield items_wrapped(legend, width)


def history_lines(
    folders: Folders, bars: Bars, at: datetime, width: int, height: int
) -> Iterator[str | Text]:
    """The same for bars that may not be in the log yet."""
    try:
        found = passage_history(folders, bars, at)
    except RequestError:
        yield Text("How it goes", "bold")
        yield "These bars are not in the log yet, and have no goal."
        return
    first, *others = passage_lines(found, width, height)
    yield Text(first, "bold")
    yield from others


def part_lines(found: PartProgress, width: int) -> Iterator[str]:
    """How much of a part holds, and its bars darker the better they hold."""
    yield f"{share_told(found.share)}."
    *rows, legend = heat_lines(found.heat, found.names, width)
    yield from rows
    yield items_wrapped(legend, width)


def passage_row(one: Standing, how: MasteryState, width: int) -> str:
    """One passage in the list of a part."""
    due = f"due {day_told(one.planned)}" if one.planned else "not tried yet"
    where = bars_told(one.bars.first, one.bars.last, one.label)
    return line_of(f"{STATES[how]} {where}: {how.value}", due, width)


def weeks_lines(weeks: Sequence[Week]) -> Iterator[str]:
    """Minutes of practice on each day, a week a line."""
    yield f"Minutes a day, {len(weeks)} weeks"
    yield ""
    yield from calendar_lines(weeks)
