"""What is at the cursor, in sentences: the map's shapes once more, in words."""

from __future__ import annotations

from rich.text import Text

from companion.findings.conflicts import Conflict
from companion.session.open_score import OpenScore, relations_before
from companion.session.score_chart import Chart, Meaning, span_meant
from companion.tui.widgets.beside import is_wide
from companion.tui.widgets.changed_lines import ChangedLines
from companion.wording.score_sentences import (
    BECAUSE,
    bar_span_told,
    conflict_told,
    finding_told,
    meters_told,
    names_told,
    pull_in_time_told,
)

AHEAD = 30
"""Places listed at most below the sentences; the screen shows those it has room for."""


class BarDetails(ChangedLines):
    """Sentences about one bar of one part."""

    DEFAULT_CSS = """
    BarDetails { height: 1fr; min-height: 4; padding: 0 1; }
    """

    def show(
        self,
        open_score: OpenScore,
        chart: Chart,
        bar: int,
        part: int,
        selection: range,
    ) -> None:
        """Tell about a bar and a part, and what is ahead: of that one place, if all that pulls
        is listed beside."""
        most = 1 if is_wide(self.screen) else AHEAD
        text = Text("\n".join(sentences(open_score, chart, bar, part, selection, most)))
        text.highlight_regex(r"(?m)^[A-Za-z][a-z]+( \d+ of \d+( of yours)?)?:", "bold")
        self.tell(text)


def sentences(
    open_score: OpenScore, chart: Chart, bar: int, part: int, selection: range, most: int = AHEAD
) -> list[str]:
    """What there is to say, the most wanted first."""
    return [
        _place(open_score, chart, bar, part),
        f"Enter: {_what_enter_does(open_score, chart, bar, selection)}",
        f"Meters: {meters_told(open_score, bar)}",
        *_pulling(open_score, chart, bar),
        *_relation(open_score, chart, bar, part),
        *_ahead(open_score, chart, bar, most),
    ]


def _place(open_score: OpenScore, chart: Chart, bar: int, part: int) -> str:
    name = open_score.score.parts[part].name
    does = "plays" if chart.cells[part][bar - 1].plays else "rests"
    told = bar_span_told(open_score, bar, bar).replace("bar ", "Bar ", 1)
    letters = [number for number in chart.letters if number <= bar]
    if letters:
        away = bar - max(letters)
        told += f", {chart.letters[max(letters)]}" + (f"+{away}" if away else "")
    return f"{told}: {name} {does}"


_MEANT = {
    Meaning.SELECTION: "your selection",
    Meaning.CONFLICT: "this conflict",
    Meaning.PERIOD: "what pulls here",
    Meaning.HERE: "from here",
}


def _what_enter_does(open_score: OpenScore, chart: Chart, bar: int, selection: range) -> str:
    span = span_meant(open_score, chart, bar, selection)
    bars = f"{bar_span_told(open_score, span.first, span.last)}, {_MEANT[span.why]}"
    if open_score.choices.part is None:
        return f"choose your part, then practise {bars}"
    return f"practise {names_told(open_score, [open_score.choices.part])}, {bars}"


def _pulling(open_score: OpenScore, chart: Chart, bar: int) -> list[str]:
    here = chart.at.get(bar, ())
    told = []
    for one in here:
        if isinstance(one, Conflict):
            span = bar_span_told(open_score, one.first, one.last) if len(here) > 1 else ""
            text = conflict_told(open_score, one) + (f"; {span}" if span else "")
            kind = "Conflict"
        else:
            text, kind = pull_in_time_told(open_score, one), one.kind.capitalize()
        of = f"{len(chart.found)} of yours" if chart.others else str(len(chart.found))
        told.append(f"{kind} {chart.found.index(one) + 1} of {of}: {text}")
    none = "none of yours" if chart.others else "none"
    return told or [f"Conflict: {none} in this bar"]


def _relation(open_score: OpenScore, chart: Chart, bar: int, part: int) -> list[str]:
    told = relations_before(open_score, bar)
    if not told:
        return []
    own = open_score.score.parts[part].id
    mine = next((one for one in told if own in one.parts), told[0])
    who = (
        ""
        if len(mine.parts) == len(open_score.score.parts)
        else f" ({names_told(open_score, mine.parts)})"
    )
    since = bar_span_told(open_score, mine.bar, mine.bar)
    return [
        f"Tempo: {mine.value} since {since}, by {BECAUSE[mine.because]}{who}; press t to change"
    ]


def _ahead(open_score: OpenScore, chart: Chart, bar: int, most: int) -> list[str]:
    ahead = [one for one in chart.found if one.first > bar][:most]
    return [
        f"{'Next' if index == 0 else 'then'}: {finding_told(open_score, one)}"
        for index, one in enumerate(ahead)
    ]
