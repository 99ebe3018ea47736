"""What is at the cursor, in sentences: the map's shapes once more, in words."""

from __future__ import annotations

from rich.text import Text
from textual.widgets import Static

from companion.session.open_score import Stand, relations_before
from companion.session.score_chart import Chart, span_meant
from companion.wording.score_sentences import (
    BECAUSE,
    conflict_told,
    meters_told,
    names_told,
    span_told,
)

AHEAD = 30
"""Conflicts listed at most below the sentences; the screen shows those it has room for."""


class BarDetails(Static):
    """Sentences about one bar of one part."""

    DEFAULT_CSS = """
    BarDetails { height: 1fr; min-height: 4; padding: 0 1; }
    """

    text = ""
    """What is shown."""

    def show(self, stand: Stand, chart: Chart, bar: int, part: int, selection: range) -> None:
        """Tell about a bar and a part."""
        told = sentences(stand, chart, bar, part, selection)
        self.text = "\n".join(told)
        text = Text("\n".join(told))
        text.highlight_regex(r"(?m)^[A-Za-z][a-z]+( \d+ of \d+)?:", "bold")
        self.update(text)


def sentences(stand: Stand, chart: Chart, bar: int, part: int, selection: range) -> list[str]:
    """What there is to say, the most wanted first."""
    return [
        _place(stand, chart, bar, part),
        f"Enter: {_what_enter_does(stand, chart, bar, selection)}",
        f"Meters: {meters_told(stand, bar)}",
        *_conflicts(stand, chart, bar),
        *_relation(stand, chart, bar, part),
        *_ahead(stand, bar),
    ]


def _place(stand: Stand, chart: Chart, bar: int, part: int) -> str:
    name = stand.score.parts[part].name
    does = "plays" if chart.cells[part][bar - 1].plays else "rests"
    told = span_told(stand, bar, bar).replace("bar ", "Bar ", 1)
    letters = [number for number in chart.letters if number <= bar]
    if letters:
        away = bar - max(letters)
        told += f", {chart.letters[max(letters)]}" + (f"+{away}" if away else "")
    return f"{told}: {name} {does}"


def _what_enter_does(stand: Stand, chart: Chart, bar: int, selection: range) -> str:
    span = span_meant(stand, chart, bar, selection)
    bars = f"{span_told(stand, span.first, span.last)}, {span.why}"
    if stand.choices.part is None:
        return f"choose your part, then practise {bars}"
    return f"practise {names_told(stand, [stand.choices.part])}, {bars}"


def _conflicts(stand: Stand, chart: Chart, bar: int) -> list[str]:
    here = chart.at.get(bar, ())
    told = []
    for conflict in here:
        which = f"{stand.conflicts.index(conflict) + 1} of {len(stand.conflicts)}"
        span = f"; {span_told(stand, conflict.first, conflict.last)}" if len(here) > 1 else ""
        told.append(f"Conflict {which}: {conflict_told(stand, conflict)}{span}")
    return told or ["Conflict: none in this bar"]


def _relation(stand: Stand, chart: Chart, bar: int, part: int) -> list[str]:
    told = relations_before(stand, bar)
    if not told:
        return []
    own = stand.score.parts[part].id
    mine = next((one for one in told if own in one.parts), told[0])
    who = "" if len(mine.parts) == len(stand.score.parts) else f" ({names_told(stand, mine.parts)})"
    since = span_told(stand, mine.bar, mine.bar)
    return [
        f"Tempo: {mine.value} since {since}, by {BECAUSE[mine.because]}{who}; press t to change"
    ]


def _ahead(stand: Stand, bar: int) -> list[str]:
    ahead = [conflict for conflict in stand.conflicts if conflict.first > bar][:AHEAD]
    return [
        f"{'Next' if index == 0 else 'then'}: "
        f"{span_told(stand, conflict.first, conflict.last)}, {conflict_told(stand, conflict)}"
        for index, conflict in enumerate(ahead)
    ]
