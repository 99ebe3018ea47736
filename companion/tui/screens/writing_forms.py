"""What can be written to a file from the app, each as a form: a file name and a few choices."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from functools import partial
from pathlib import PurePath
from typing import TypeVar

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.tempo_plan import natural_times
from companion.files.folders import Folders
from companion.part.engraving.engrave import Paper
from companion.part.player_entrances import Cues
from companion.practice.attempt import now
from companion.publish.handout.written_files import (
    click_written,
    handout_written,
    part_written,
    report_written,
    source_of,
)
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name
from companion.score.part_names import distinct_names
from companion.score.passage import Passage
from companion.session.click_file import ALONE
from companion.session.drill import Drill
from companion.session.open_score import OpenScore
from companion.session.part_file import pages_beside
from companion.session.starting_tempo import marked_tempo
from companion.session.typed_dates import day_typed
from companion.tui.screens.writing_screen import Writing, WritingScreen, path_typed
from companion.tui.widgets.form import (
    OWN_WORDS,
    Form,
    Row,
    chosen_row,
    number_row,
    switch_row,
    tempo_row,
    text_row,
)
from companion.wording.phrases import counted, tempo_told, times_told
from companion.wording.score_sentences import bar_span_told
from companion.wording.setting_sentences import plan_told

_LONGEST_NAME = 60
_MORE = {
    ".pdf": "pages to print",
    ".svg": "pages as pictures",
    ".musicxml": "for a notation program",
    ".mxl": "for a notation program, compressed",
    ".mid": "for a MIDI player",
    ".wav": "sound, for any player",
    ".flac": "sound, smaller than WAV",
}


def _file(*words: str, ending: str) -> str:
    """`~/study-viola-13-20.pdf`."""
    plain = re.sub(r"[^\w]+", "-", " ".join(words).casefold())[:_LONGEST_NAME].strip("-")
    return f"~/{plain or 'practice'}{ending}"


def _formats(path: str, endings: Sequence[str]) -> list[tuple[str, str]]:
    """Each format by its ending, and the file's name with it; one that is typed is among them."""
    here = PurePath(path).suffix.lower()
    stem = path[: len(path) - len(here)] if here else path
    named = [(ending[1:], stem + ending) for ending in endings]
    return named if here in endings else [(here[1:] or "none", path), *named]


def _ending(path: str) -> str:
    return PurePath(path).suffix.lower()


def _told_file(path: str) -> str:
    meaning = _MORE.get(_ending(path), "")
    return f"{path_typed(path)}{f' ({meaning})' if meaning else ''}" if path.strip() else "no file"


@dataclass(frozen=True, slots=True)
class _Wish:
    path: str
    """As it is typed."""


W = TypeVar("W", bound=_Wish)


def _file_form(
    title: str, rows: Callable[[W], Sequence[Row[W]]], told: Callable[[W], str]
) -> Form[W, str]:
    """Its line is the file's name."""
    return Form(
        title,
        rows,
        told,
        lambda wish: wish.path,
        lambda path, wish: replace(wish, path=path),
        lambda wish: wish.path,
        line="File",
        enter="Enter writes it",
    )


# My part.


@dataclass(frozen=True, slots=True)
class _PartWish(_Wish):
    part: int
    """Index, from 0."""
    cues: Cues = Cues.SHORT
    paper: Paper = Paper.A4


_PART_ENDINGS = (".pdf", ".musicxml", ".mxl", ".mid", ".svg")
_CUES = {Cues.NONE: "none", Cues.SHORT: "the last bar", Cues.FULL: "up to four bars"}


def part_writing(open_score: OpenScore, part: int, folders: Folders) -> WritingScreen[_PartWish]:
    """The form that writes a part out, first of all the one with the index `part`."""
    names = distinct_names([one.name for one in open_score.score.parts])

    def named(index: int) -> str:
        return _file(open_score.path.stem, names[index], ending="")

    def of_part(wish: _PartWish, index: int) -> _PartWish:
        path = wish.path.replace(named(wish.part), named(index), 1)
        return replace(wish, part=index, path=path)

    def rows(wish: _PartWish) -> list[Row[_PartWish]]:
        parts = [(name, of_part(wish, index)) for index, name in enumerate(names)]
        return [chosen_row("Part", parts, names[wish.part]), *_part_rows(wish)]

    def writing(wish: _PartWish) -> Writing:
        out = path_typed(wish.path)
        source = source_of(open_score, folders)
        make = partial(part_written, source, wish.part, out, wish.cues, wish.paper)
        return Writing(out, make, pages_beside(out))

    form = _file_form(
        "A part by itself",
        rows,
        lambda wish: f"Writes {names[wish.part]} to {_told_file(wish.path)}.",
    )
    return WritingScreen(form, _PartWish(f"{named(part)}.pdf", part), writing)


def _part_rows(wish: _PartWish) -> Iterator[Row[_PartWish]]:
    """In which format, with which cues, on which paper; a row only where it matters."""
    formats = _formats(wish.path, _PART_ENDINGS)
    yield chosen_row(
        "Format",
        [(ending, replace(wish, path=path)) for ending, path in formats],
        _ending(wish.path)[1:] or "none",
    )
    if _ending(wish.path) == ".mid":
        return
    cues = [(told, replace(wish, cues=one)) for one, told in _CUES.items()]
    yield chosen_row("Cues", cues, _CUES[wish.cues])
    if _ending(wish.path) in (".pdf", ".svg"):
        papers = [(paper.value, replace(wish, paper=paper)) for paper in Paper]
        yield chosen_row("Paper", papers, wish.paper.value)


# The click, as the drill is set.


@dataclass(frozen=True, slots=True)
class _ClickWish(_Wish):
    times: int
    count_in: int
    has_others: bool


_CLICK_ENDINGS = (".wav", ".flac", ".mid")


def _click_rows(wish: _ClickWish) -> list[Row[_ClickWish]]:
    formats = _formats(wish.path, _CLICK_ENDINGS)
    return [
        chosen_row(
            "Format",
            [(ending, replace(wish, path=path)) for ending, path in formats],
            _ending(wish.path)[1:] or "none",
        ),
        number_row("Times through", wish.times, lambda n: replace(wish, times=int(n)), (1, 99)),
        number_row("Count-in", wish.count_in, lambda n: replace(wish, count_in=int(n)), (0, 4)),
        switch_row(
            "The others",
            lambda is_on: replace(wish, has_others=is_on),
            "play along, as in the drill; not in a MIDI file",
            is_on=wish.has_others,
        ),
    ]


def click_writing(drill: Drill, folders: Folders) -> WritingScreen[_ClickWish]:
    """The form that writes the click of a drill, as it is set."""
    setting, chosen = drill.setting, drill.passage
    plan = setting.ladder or setting.tempo
    bars = span_name(chosen.clock, chosen.first, chosen.last)

    def told(wish: _ClickWish) -> str:
        bars = counted(wish.count_in, "bar")
        count_in = f" after {bars} of count-in" if wish.count_in else ""
        return (
            f"Writes {times_told(wish.times)} through{count_in} to "
            f"{_told_file(wish.path)}. {plan_told(plan, note_name(chosen.beat))}"
        )

    def writing(wish: _ClickWish) -> Writing:
        out = path_typed(wish.path)
        settings = ClickSettings(
            plan, setting.layers, wish.count_in, repeat=wish.times, silences=setting.silences
        )
        others = setting.accompaniment if wish.has_others else ALONE
        where = (chosen.part, chosen.first, chosen.last)
        source = source_of(drill.open_score, folders)
        return Writing(out, partial(click_written, source, where, settings, others, out))

    form = _file_form("This click, as it is set", _click_rows, told)
    name = _file(drill.open_score.path.stem, chosen.part_name, bars, "click", ending=".wav")
    times = natural_times(plan)
    begin = _ClickWish(name, times, setting.count_in, setting.are_others_on)
    return WritingScreen(form, begin, writing)


# A handout of a passage.


@dataclass(frozen=True, slots=True)
class _HandoutWish(_Wish):
    tempo: Fraction


def handout_writing(
    open_score: OpenScore, passage: Passage, folders: Folders
) -> WritingScreen[_HandoutWish]:
    """The form that writes a web page about a passage."""
    bars = bar_span_told(open_score, passage.first, passage.last)
    beat = note_name(passage.beat)

    def rows(wish: _HandoutWish) -> list[Row[_HandoutWish]]:
        return [tempo_row("Goal tempo", wish.tempo, lambda bpm: replace(wish, tempo=bpm))]

    def writing(wish: _HandoutWish) -> Writing:
        out = path_typed(wish.path)
        source = source_of(open_score, folders)
        span = f"@{passage.first}-@{passage.last}"
        make = partial(handout_written, source, passage.part, span, wish.tempo, out)
        return Writing(out, make)

    form = _file_form(
        f"Handout: {passage.part_name} {bars}",
        rows,
        lambda wish: (
            f"Writes a page with notes, counts and click, up to {tempo_told(beat, wish.tempo)}, "
            f"to {_told_file(wish.path)}."
        ),
    )
    span = span_name(passage.clock, passage.first, passage.last)
    name = _file(open_score.path.stem, passage.part_name, span, ending=".html")
    return WritingScreen(form, _HandoutWish(name, marked_tempo(passage).bpm), writing)


# A report for the teacher.


@dataclass(frozen=True, slots=True)
class _ReportWish(_Wish):
    path: str = "~/report.json"
    name: str = ""
    note: str = ""
    since: date | None = None


def _report_rows(wish: _ReportWish) -> list[Row[_ReportWish]]:
    today, day = now().date(), wish.since

    def since(by: int) -> _ReportWish:
        moved = (day or today) + timedelta(days=by if day else min(by, 0))
        return replace(wish, since=None if moved > today else moved)

    return [
        text_row("Name", wish.name, lambda text: replace(wish, name=text)),
        text_row("Note", wish.note, lambda text: replace(wish, note=text), note=OWN_WORDS),
        Row(
            "Since",
            "the beginning" if day is None else f"{day:%a} {day.isoformat()}",
            since,
            note="← a day earlier",
            typed=lambda text: replace(wish, since=day_typed(text, is_past=True) if text else None),
            far=7,
        ),
    ]


def report_writing(folders: Folders) -> WritingScreen[_ReportWish]:
    """The form that writes a report, and a page to read beside it."""

    def told(wish: _ReportWish) -> str:
        who = f" of {wish.name}" if wish.name else ""
        return (
            f"Writes the practice{who}, without your own notes and file names, to "
            f"{_told_file(wish.path)} and a page to read beside it."
        )

    def writing(wish: _ReportWish) -> Writing:
        out = path_typed(wish.path)
        make = partial(report_written, folders, wish.name, wish.note, wish.since, out, now())
        from companion.publish.report.student_report import page_beside  # draws pages, too

        return Writing(out, make, (page_beside(out),))

    form = _file_form("Report for your teacher", _report_rows, told)
    return WritingScreen(form, _ReportWish(), writing)
