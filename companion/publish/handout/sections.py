"""What a handout says of one passage, section by section."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from companion.publish.handout.conflict_map import Map
from companion.publish.handout.handout_notes import EngravedPassage
from companion.publish.handout.handout_sound import HandoutSound
from companion.publish.handout.lesson import Lesson
from companion.publish.handout.player_section import noting, player
from companion.publish.study_sheet import CountedBar, Study, counted_alike
from companion.rhythm.counting import BETWEEN
from companion.wording.advice import RULE_OF_THUMB, Advice, Topic
from companion.wording.score_sentences import bar_span_told


@dataclass(frozen=True, slots=True)
class Drawn:
    """Everything that was made for one passage."""

    study: Study
    """What to know, and how to count."""
    map: Map
    """Where the parts conflict."""
    notes: EngravedPassage
    """The passage in notes; no pages if it could not be engraved."""
    why_no_notes: str
    """Why not; empty if there are notes."""
    lanes: str
    """The parts as an SVG element."""
    sound: HandoutSound
    """What can be heard."""


def sections(lesson: Lesson, drawn: Drawn, number: int, level: int) -> Iterator[str]:
    """All sections of lesson `number`, from 1; their headings at `level`."""
    if lesson.goal or lesson.listen:
        yield from _task(lesson, level)
    yield from _study(drawn.study, level)
    yield from _map(lesson, drawn.map, level)
    yield from _passage(lesson, drawn, number, level)
    yield from _counts(lesson, drawn.study, level)


def _heading(level: int, said: str) -> str:
    return f"<h{level}>{escape(said)}</h{level}>"


def _task(lesson: Lesson, level: int) -> Iterator[str]:
    yield _heading(level, "Task")
    if lesson.goal:
        yield f"<p>Done when it was {escape(lesson.goal)}.</p>"
    if lesson.listen:
        yield f"<p>Listen for: {escape(lesson.listen)}</p>"


def _study(study: Study, level: int) -> Iterator[str]:
    yield _heading(level, "What to know")
    topic: Topic | None = None
    for advice in study.sheet:
        if advice.topic is not topic:
            yield "</ul>" if topic else ""
            topic = advice.topic
            yield _heading(level + 1, topic[0].upper() + topic[1:])
            yield "<ul>"
        yield f"<li>{_advice(advice)}</li>"
    yield "</ul>" if topic else "<p>No conflict here, and nothing returns.</p>"
    if any(advice.is_heuristic for advice in study.sheet):
        yield f'<p class="quiet">{RULE_OF_THUMB}.</p>'


def _advice(advice: Advice) -> str:
    reasons = "; ".join(advice.because)
    more = f' <span class="quiet">({escape(reasons)})</span>' if reasons else ""
    return escape(advice.text) + more + (" ~" if advice.is_heuristic else "")


def _map(lesson: Lesson, drawn: Map, level: int) -> Iterator[str]:
    yield _heading(level, "Conflicts")
    yield (
        f"<p>{escape(drawn.shown[:1].upper() + drawn.shown[1:])}"
        f"{_around(lesson, drawn)}. "
        f"Framed: the part plays. Faint: it rests. "
        "Hatched: it divides the beat or the bar into more. Dotted: into fewer. "
        "The brackets say how many against how many. "
        f"Thick frame: your passage ({escape(lesson.part_name)}).</p>"
    )
    yield f'<div class="wide">{drawn.svg}</div>'
    if drawn.sentences:
        yield "<ul>"
        yield from (f"<li>{escape(sentence)}</li>" for sentence in drawn.sentences)
        yield "</ul>"
    else:
        yield "<p>No conflicts here.</p>"


def _around(lesson: Lesson, drawn: Map) -> str:
    if lesson.target:
        return ""
    return ", the whole score" if drawn.is_whole else ", around your passage"


def _passage(lesson: Lesson, drawn: Drawn, number: int, level: int) -> Iterator[str]:
    yield _heading(level, "Play it")
    told = f"{lesson.part_name}, {lesson.bars}. {lesson.chosen}"
    yield f"<p>{escape(told.strip())}</p>"
    yield from player(lesson, drawn.sound, number, level + 1)
    yield drawn.lanes
    yield from drawn.notes.pages
    if drawn.why_no_notes:
        yield f"<p>{escape(drawn.why_no_notes)}</p>"
    yield from noting(lesson, number, level + 1)
    yield "</section>"


def _counts(lesson: Lesson, study: Study, level: int) -> Iterator[str]:
    yield _heading(level, "Counting aloud")
    if not study.counts:
        yield "<p>These bars have no meter to count.</p>"
        return
    dot = f" A {BETWEEN} is a note between two syllables."
    has_dot = any(BETWEEN in count.mine for count in study.counts)
    yield f"<p>Say it evenly before you play it.{dot if has_dot else ''}</p>"
    yield '<div class="wide"><table>'
    yield (
        '<thead><tr><th scope="col">Bar</th><th scope="col">You count</th>'
        '<th scope="col">The others count</th><th scope="col">Both in one count</th></tr></thead>'
    )
    yield "<tbody>"
    for count, last in counted_alike(study.counts):
        yield _count(lesson, count, last)
    yield "</tbody></table></div>"
    if study.counts[-1].bar < study.last:
        yield '<p class="quiet">Count the rest the same way.</p>'


def _count(lesson: Lesson, count: CountedBar, last: int) -> str:
    """One row for bars that are counted alike, up to the last one."""
    theirs = "<br>".join(escape(f"{meter}: {text}") for meter, text in count.theirs)
    both = "<br>".join(escape(f"{ratio}: {text}") for ratio, text in count.together)
    where = bar_span_told(lesson.open_score, count.bar, last).split(" ", 1)[1]
    return (
        f'<tr><th scope="row">{escape(where)}</th><td class="count">{escape(count.mine)}</td>'
        f'<td class="count">{theirs or "the same"}</td><td>{both or "no conflict"}</td></tr>'
    )
