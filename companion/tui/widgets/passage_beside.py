"""Beside the notes of a passage: how it goes, and what the study says of its bars."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from rich.text import Text

from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.session.open_score import OpenScore
from companion.session.suggested_passages import bars_of_passage
from companion.tui.widgets.app_clock import clock_of
from companion.tui.widgets.beside import Beside, Look, headline


class PassageBeside(Beside):
    """Shows how some bars go by now, then the study, which is looked for once."""

    _passage: Passage | None = None
    _about: Look | None = None

    def show_passage(self, open_score: OpenScore, passage: Passage, folders: Folders) -> None:
        """Look at these bars, or look at them again."""
        if passage is not self._passage:
            self._passage = passage
            self._about = _about(open_score, passage, folders, clock_of(self.app))
        self.show(self._about)


def _about(
    open_score: OpenScore, passage: Passage, folders: Folders, clock: Callable[[], datetime]
) -> Look:
    studied: list[str | Text] = []

    def look(width: int, height: int) -> Iterator[str | Text]:
        from companion.tui.widgets.progress_lines import history_lines

        bars = bars_of_passage(open_score, passage)
        yield from history_lines(folders, bars, clock(), width, height // 2)
        if not studied:
            studied[:] = list(_studied(open_score, passage))
        yield from studied

    return look


def _studied(open_score: OpenScore, passage: Passage) -> Iterator[str | Text]:
    from companion.publish.study_sheet import study

    found = study(open_score, passage.part).everything
    here = [one for one in found if one.first <= passage.last and passage.first <= one.last]
    if here:
        yield ""
        yield headline("Study")
    for one in here:
        yield f"· {one.marked_text}"
