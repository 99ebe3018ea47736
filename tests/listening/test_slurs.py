"""Beginnings that nobody can hear: a pitch repeated under one slur."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from companion.listening.due_notes import due_notes
from companion.score.laying import lay
from companion.score.passage import passage
from companion.score.readers.opening import read_score
from tests.listening.performing import click_of

NOTE = "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>1</duration>{}</note>"
SLUR = '<notations><slur type="{}"/>{}</notations>'
HEAD = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Viola</part-name>
</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>
<time><beats>4</beats><beat-type>4</beat-type></time></attributes>"""


def audible(tmp_path: Path, *notes: str) -> list[bool]:
    path = tmp_path / "slurred.musicxml"
    path.write_text(HEAD + "".join(notes) + "</measure></part></score-partwise>", "utf-8")
    whole = passage(lay(read_score(path, None).score), 0, 1, 1)
    due = due_notes(whole, click_of(whole, 60).timetable.pace(0))
    assert [note.seconds for note in due] == [Fraction(n) for n in range(len(notes))]
    return [note.is_audible for note in due]


def test_a_pitch_repeated_under_a_slur_cannot_be_heard(tmp_path: Path) -> None:
    first = NOTE.format("C", SLUR.format("start", ""))
    last = NOTE.format("D", SLUR.format("stop", ""))
    plain = NOTE.format("C", "")
    assert audible(tmp_path, first, plain, last, plain) == [True, False, True, True]


def test_portato_is_heard_and_so_is_what_comes_after_the_slur(tmp_path: Path) -> None:
    dots = "<articulations><staccato/></articulations>"
    first = NOTE.format("C", SLUR.format("start", dots))
    last = NOTE.format("C", SLUR.format("stop", dots))
    plain = NOTE.format("C", "")
    assert audible(tmp_path, first, last, plain, plain) == [True, True, True, True]
