"""What a screen writes, opened and written in one call, so that a child process can do it.

Each function tells what was written and where, in a sentence. They take what can be pickled:
an open score goes as its `ScoreSource` and is opened again. What writes pages is imported only
there, since the screens name these functions.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path

from companion.click.plan.click_settings import ClickSettings
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.part.engraving.engrave import Paper
from companion.part.player_entrances import Cues
from companion.score.passage import passage
from companion.score.readers.opening import read_score
from companion.session.accompaniment import Accompaniment
from companion.session.background_reading import kept_score
from companion.session.click_file import write_click_as_set
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from companion.session.part_file import write_part_file
from companion.wording.click_sentences import click_told
from companion.wording.part_sentences import part_told
from companion.wording.phrases import written_told


@dataclass(frozen=True, slots=True)
class ScoreSource:
    """Enough to open a score again as it is open now."""

    path: Path
    digest: str
    choices: Choices
    folders: Folders

    def opened(self) -> OpenScore:
        """The score. Raises CompanionError if it cannot be read, or is another by now."""
        opened = kept_score(self.path, self.folders) or read_score(self.path, self.folders.cache)
        if opened.digest != self.digest:
            raise CompanionError(
                "the score has changed since it was opened",
                where=str(self.path),
                next="Open it again.",
            )
        return laid_with_choices(opened, self.choices)


def source_of(open_score: OpenScore, folders: Folders) -> ScoreSource:
    """From where a score can be opened again."""
    return ScoreSource(open_score.path, open_score.digest, open_score.choices, folders)


def part_written(source: ScoreSource, part: int, out: Path, cues: Cues, paper: Paper) -> str:
    """`part` is an index, from 0. Raises as `write_part_file`."""
    taken = write_part_file(source.opened(), source.folders, str(part + 1), out, cues, paper)
    return part_told(taken)


def click_written(
    source: ScoreSource,
    where: tuple[int, int, int],
    settings: ClickSettings,
    accompaniment: Accompaniment,
    out: Path,
) -> str:
    """`where` is the part's index, from 0, and the ordinal positions of the first and the last
    bar. Raises as `write_click_as_set`."""
    open_score = source.opened()
    chosen = passage(open_score.clock, *where)
    click = write_click_as_set(open_score, chosen, settings, out, accompaniment)
    return click_told(open_score, click)


def handout_written(
    source: ScoreSource, part: int, bars: str, tempo: Fraction | None, out: Path
) -> str:
    """`bars` as they are typed; `tempo` is the goal, None for the score's own. Raises as
    `hand_out_score`."""
    from companion.publish.handout.handout import HandoutRequest, hand_out_score

    asked = HandoutRequest(str(part + 1), bars, tempo)
    made = hand_out_score(source.opened(), asked, out, source.folders)
    return " ".join(f"{written_told(one.path, one.told)}. {one.missing}".rstrip() for one in made)


def report_written(
    folders: Folders, name: str, note: str, since: date | None, out: Path, at: datetime
) -> str:
    """The file and beside it the page. Raises as `send_report`."""
    from companion.publish.report.student_report import (
        ReportRequest,
        make_report,
        send_report,
        sent_told,
    )

    report = make_report(folders, ReportRequest(name, note, since), at)
    sent = send_report(report, out)
    return f"{written_told(sent.file, sent_told(sent))}. To read: {sent.page}"
