"""On a wide terminal, beside what is at the cursor: all that pulls, a line each, and what the
study says to the player whose part was chosen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.text import Text
from textual import events, work

from companion.findings.conflicts import Conflict
from companion.session.open_score import OpenScore
from companion.session.score_chart import Chart, MapFinding, is_mine
from companion.tui.widgets.changed_lines import ChangedLines, shortened
from companion.wording.score_sentences import conflict_label, finding_told

_LEAST = 3
"""Places that are listed at least, if there are as many."""


def listed(open_score: OpenScore, found: Sequence[MapFinding]) -> list[str]:
    """A line for each: `● 3:2  bars 13–20, 3 against 2 in the beat`; the dot if it is mine."""
    me = open_score.choices.part
    kinds = [conflict_label(one) if isinstance(one, Conflict) else one.kind for one in found]
    width = max(map(len, kinds), default=0)
    return [
        f"{'●' if is_mine(one, me) else ' '} {kind:{width}}  {finding_told(open_score, one)}"
        for one, kind in zip(found, kinds, strict=True)
    ]


class MapBeside(ChangedLines):
    """What pulls, and the study."""

    DEFAULT_CSS = """
    MapBeside { display: none; width: 1fr; height: 1fr; padding: 0 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._shown: tuple[OpenScore, Chart, int] | None = None
        self._list: tuple[Chart | None, list[str]] = (None, [])
        self._study: tuple[OpenScore | None, list[Text]] = (None, [])

    def show(self, open_score: OpenScore, chart: Chart, bar: int) -> None:
        """For the bar under the cursor, an ordinal position."""
        self._shown = open_score, chart, bar
        if not self.size:
            return
        if self._list[0] is not chart:
            self._list = chart, listed(open_score, chart.found)
        part = open_score.choices.part
        if part is not None and self._study[0] is not open_score:
            self._study = open_score, []
            self.app.call_after_refresh(self._look_at, open_score, part)
        self.tell(Text("\n").join(self._rows(chart, bar)))

    def on_resize(self, event: events.Resize) -> None:
        """Other lines have room."""
        super().on_resize(event)
        if self._shown is not None:
            self.show(*self._shown)

    def _rows(self, chart: Chart, bar: int) -> Iterator[Text]:
        width, height = self.size
        study = self._study[1]
        room = max(_LEAST, height - 2 - (len(study) + 2 if study else 0), height // 3)
        lines = self._list[1]
        ahead = next((at for at, one in enumerate(chart.found) if one.last >= bar), len(lines))
        begin = max(0, min(ahead - room // 3, len(lines) - room))
        told = f"What pulls: {len(lines)}" if lines else "Nothing pulls"
        yield Text(f"{told} of yours" if lines and chart.others else told, "bold")
        for at, one in list(enumerate(chart.found))[begin : begin + room]:
            is_here = one.first <= bar <= one.last
            mark = "▶" if is_here else " "
            yield Text(shortened(f"{mark} {lines[at]}", width), "bold" if is_here else "")
        if study:
            yield Text()
            yield Text("Study", "bold")
            yield from self._fitting(study, height - 3 - min(room, len(lines)))

    def _fitting(self, study: list[Text], rows: int) -> Iterator[Text]:
        """As many sentences as have room whole."""
        for text in study:
            rows -= len(text.wrap(self.app.console, max(1, self.size.width)))
            if rows < (text is not study[-1]):  # a row is kept to say that there is more
                yield Text("  … e shows all of it")
                return
            yield text

    def _look_at(self, open_score: OpenScore, me: str) -> None:
        if self.is_attached:
            self._look(open_score, me)

    @work(thread=True, exclusive=True)
    def _look(self, open_score: OpenScore, me: str) -> None:
        """In a thread, for a long score takes a moment."""
        from companion.publish.study_sheet import headed, study

        part = [one.id for one in open_score.score.parts].index(me)
        sentences = [
            Text(f"  {one.marked_text}")
            for _, about in headed(open_score, study(open_score, part).sheet)
            for one in about
        ]
        self.app.call_from_thread(self._found, open_score, sentences)

    def _found(self, open_score: OpenScore, study: list[Text]) -> None:
        if self._study[0] is open_score and self._shown is not None:
            self._study = open_score, study
            self.show(*self._shown)
