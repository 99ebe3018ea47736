"""Handouts from a score or an exercise to files."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from html import escape
from os.path import isdir
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.files.whole_file import refuse_untyped, write_whole
from companion.publish.handout.conflict_map import PATTERNS, conflict_map
from companion.publish.handout.handout_notes import EngravedPassage, engraved, why_not
from companion.publish.handout.handout_page import page
from companion.publish.handout.handout_sound import handout_sound
from companion.publish.handout.lanes_picture import lanes_picture
from companion.publish.handout.lesson import Handout, Lesson, handout_of, lesson_of
from companion.publish.handout.sections import Drawn
from companion.publish.html_page import document
from companion.publish.study_sheet import study
from companion.score.bar_numbers import find_bars
from companion.session.open_score import OpenScore, part_meant

_ENDINGS = (".html", ".htm")
INDEX = "index.html"
"""The page in a folder that lists the others."""
_LARGEST = 15 * 1024 * 1024
"""Bytes a page should have at most: what most mail still carries (common practice)."""


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """One page that was written."""

    path: Path
    """Where."""
    told: str
    """What it is about."""
    size: int
    """Bytes."""
    missing: str = ""
    """What is missing from it; empty if nothing is."""


@dataclass(frozen=True, slots=True)
class HandoutRequest:
    """What to make a handout of, in the words it was asked for."""

    part: str = ""
    """The part; empty for the one that was chosen, or for a folder every part."""
    bars: str = ""
    """The bars; empty for the hardest."""
    tempo: Fraction | None = None
    """The tempo to arrive at; None for the score's own."""


def hand_out_score(
    open_score: OpenScore, wanted: HandoutRequest, out: Path, folders: Folders
) -> list[WrittenPage]:
    """One page for one part, or a folder with a page for each and an index.

    Raises RequestError for a part, bars or ending that cannot be meant, CompanionError
    where a file cannot be written.
    """
    span = find_bars(open_score.clock, wanted.bars) if wanted.bars else None
    if is_page(out):
        if not (wanted.part or open_score.choices.part):
            raise RequestError(
                "one page is for one part", next="Add --part, or name a folder for all of them."
            )
        part = part_meant(open_score, wanted.part)
        lesson = lesson_of(open_score, part, span, wanted.tempo)
        return [write_handout(handout_of(lesson), out, folders)]
    named = [part_meant(open_score, wanted.part)] if wanted.part else _playing(open_score)
    lessons = [lesson_of(open_score, part, span, wanted.tempo) for part in named]
    pages = {
        out / f"{part + 1}-{handout_file_name(lesson.part_name)}.html": lesson
        for part, lesson in zip(named, lessons, strict=True)
    }
    refuse_untyped([*pages, out / INDEX])
    made_folder(out)
    made = [
        write_handout(handout_of(lesson), path, folders, home=INDEX)
        for path, lesson in pages.items()
    ]
    return [*made, _write_index(open_score, made, out / INDEX)]


def _playing(open_score: OpenScore) -> list[int]:
    return [index for index, part in enumerate(open_score.score.parts) if part.bars]


def is_page(out: Path) -> bool:
    """Whether a path means one page; otherwise it means a folder. Raises RequestError."""
    if out.suffix.lower() in _ENDINGS:
        return True
    if out.suffix and not isdir(out):
        raise RequestError(
            f"a handout cannot be written as “{out.suffix}”",
            next="End it in .html, or name a folder.",
        )
    return False


def made_folder(out: Path) -> None:
    """The folder, made where it is not there. Raises CompanionError."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise CompanionError(
            f"the folder could not be made ({problem.strerror})",
            where=str(out),
            next="Choose another place.",
        ) from None


def write_handout(handout: Handout, path: Path, folders: Folders, home: str = "") -> WrittenPage:
    """Draw everything and write one page."""
    drawn = [_drawn(lesson, folders) for lesson in handout.lessons]
    content = page(handout, drawn, handout_file_name(handout.title), home).encode()
    write_whole(path, content)
    missing = [each.why_no_notes for each in drawn if each.why_no_notes]
    if len(content) > _LARGEST:
        missing.append("This page is larger than most mail carries: name fewer bars.")
    told = ", ".join(filter(None, (handout.title, handout.for_whom)))
    return WrittenPage(path, told, len(content), " ".join(dict.fromkeys(missing)))


def _drawn(lesson: Lesson, folders: Folders) -> Drawn:
    open_score, where = lesson.open_score, lesson.passage
    sound = handout_sound(lesson)
    notes, missing = EngravedPassage((), ()), ""
    try:
        notes = engraved(lesson, sound.parts, folders)
    except CompanionError as problem:
        missing = why_not(problem)
    about = study(open_score, where.part, (where.first, where.last))
    if lesson.chosen:
        whole = study(open_score, where.part)
        about = replace(whole, first=where.first, last=where.last, counts=about.counts)
    lanes = lanes_picture(lesson, sound.parts)
    return Drawn(about, conflict_map(open_score, lesson), notes, missing, lanes, sound)


def _write_index(open_score: OpenScore, made: list[WrittenPage], path: Path) -> WrittenPage:
    content = document(open_score.score.title, _index(open_score, made)).encode()
    write_whole(path, content)
    return WrittenPage(path, f"{open_score.score.title}, all parts", len(content))


def _index(open_score: OpenScore, made: list[WrittenPage]) -> Iterator[str]:
    yield PATTERNS
    yield f"<h1>{escape(open_score.score.title)}</h1>"
    if open_score.score.composer:
        yield f'<p class="lead">{escape(open_score.score.composer)}</p>'
    yield "<h2>Your part</h2>"
    yield "<ul>"
    for each in made:
        about = each.told.removeprefix(f"{open_score.score.title}, ")
        yield f'<li><a href="{escape(each.path.name)}">{escape(about)}</a></li>'
    yield "</ul>"
    whole = conflict_map(open_score)
    yield "<h2>Conflicts</h2>"
    yield f'<div class="wide">{whole.svg}</div>'
    if not whole.sentences:
        yield "<p>No two parts pull against each other.</p>"
        return
    yield "<ul>"
    yield from (f"<li>{escape(sentence)}</li>" for sentence in whole.sentences)
    yield "</ul>"


def handout_file_name(name: str) -> str:
    """A part's name as a file has it on any disk: `violin-ii`."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:60] or "part"
