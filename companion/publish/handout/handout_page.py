"""A handout as one HTML file: the teacher's words, then every passage, and what was noted."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from html import escape

from companion.publish.handout.conflict_map import PATTERNS
from companion.publish.handout.lesson import Handout
from companion.publish.handout.player_section import SCRIPT, page_record, saving
from companion.publish.handout.sections import Drawn, sections
from companion.publish.html_page import document


def page(handout: Handout, drawn: Sequence[Drawn], file_name: str, home: str = "") -> str:
    """The whole page; `drawn` has one entry for each lesson.

    `file_name` begins the names of the files that are saved from it. `home` is the file name
    of the page that lists this one; empty if none does.
    """
    title = ": ".join(filter(None, (handout.title, handout.for_whom)))
    record = page_record(handout, [(one.sound, one.notes) for one in drawn], file_name)
    return document(title, _body(handout, drawn, home), style=_STYLE, script=SCRIPT, record=record)


def _body(handout: Handout, drawn: Sequence[Drawn], home: str) -> Iterator[str]:
    yield PATTERNS
    if home:
        yield f'<p class="screen"><a href="{escape(home)}">All parts</a></p>'
    yield f"<h1>{escape(handout.title)}</h1>"
    if handout.for_whom:
        yield f'<p class="lead">{escape(handout.for_whom)}</p>'
    if handout.due:
        yield f"<p>{escape(handout.due)}</p>"
    if handout.instructions:
        yield instructions_html(handout.instructions, 2)
    is_titled = any(lesson.title for lesson in handout.lessons)
    for number, (lesson, each) in enumerate(zip(handout.lessons, drawn, strict=True), 1):
        if is_titled:
            yield f"<h2>{escape(lesson.title or f'Drill {number}')}</h2>"
            yield f'<p class="lead">{escape(f"{lesson.part_name}, {lesson.bars}")}</p>'
        yield from sections(lesson, each, number, 3 if is_titled else 2)
    yield from saving(2)
    yield "<footer>"
    yield (
        '<p class="quiet">This page is one file. It loads nothing and sends nothing; it can '
        "be kept, mailed and printed.</p>"
    )
    yield "</footer>"


# A teacher's words in Markdown as HTML: paragraphs, lists, headings, emphasis.


_ITEM = re.compile(r"\s*(?:([-*+])|(\d{1,3})[.)])\s+(.*)")
_HEADING = re.compile(r"#{1,6}\s+(.*?)\s*#*$")


def instructions_html(text: str, level: int) -> str:
    """The elements, headings at `level` (2–6)."""
    return "\n".join(_blocks(text.splitlines(), level))


def _blocks(lines: list[str], level: int) -> Iterator[str]:
    words: list[str] = []
    items: list[str] = []
    kind = ""
    for line in [*lines, ""]:
        item, heading = _ITEM.fullmatch(line), _HEADING.fullmatch(line)
        now = "" if item is None else "ul" if item[1] else "ol"
        if words and (item or heading or not line.strip()):
            yield f"<p>{_emphasised(' '.join(words))}</p>"
            words = []
        if items and now != kind and (item or heading or not line.strip()):
            yield f"<{kind}>{''.join(f'<li>{_emphasised(one)}</li>' for one in items)}</{kind}>"
            items = []
        if item:
            kind = now
            items.append(item[3])
        elif heading:
            yield f"<h{level}>{_emphasised(heading[1])}</h{level}>"
        elif line.strip() and items:
            items[-1] += " " + line.strip()
        elif line.strip():
            words.append(line.strip())


def _emphasised(text: str) -> str:
    html = escape(text)
    html = re.sub(r"\*\*(\S(?:.*?\S)?)\*\*", r"<strong>\1</strong>", html)
    return re.sub(r"(?<!\w)([*_])(\S(?:.*?\S)?)\1(?!\w)", r"<em>\2</em>", html)


# How the player looks.


_STYLE = """
html { scroll-padding-top: 8rem; }
.transport { position: sticky; top: 0; display: flex; flex-wrap: wrap; gap: .6rem;
  align-items: center; padding: .5rem 0; background: #fff; z-index: 1; }
.transport .state { flex: 1 1 10rem; margin: 0; font-variant-numeric: tabular-nums; }
button { min-height: 2.75rem; padding: .3rem 1rem; font: inherit; border: 2px solid #1a1a1a;
  border-radius: .4rem; background: #f2f2f2; color: inherit; }
.play { min-width: 6rem; background: #0b3d91; border-color: #0b3d91; color: #fff; }
fieldset { margin: .5rem 0; padding: .2rem .8rem .5rem; border: 1px solid #767676;
  border-radius: .4rem; display: flex; flex-wrap: wrap; gap: 0 1.2rem; align-items: center; }
label { display: inline-flex; align-items: center; gap: .4rem; min-height: 2.75rem; }
input, select { font: inherit; max-width: 100%; }
input[type="checkbox"], input[type="radio"] { width: 1.2rem; height: 1.2rem; flex: none; }
input[type="number"] { width: 5.5rem; }
form { display: flex; flex-wrap: wrap; gap: .2rem 1.2rem; align-items: center; }
form > * { margin-top: 0; }
form h3, form h4, form h5, form fieldset { flex-basis: 100%; }
svg.lanes { display: block; width: 100%; max-width: 38rem; height: auto; margin: .8rem 0;
  cursor: pointer; }
.place.silent { stroke-dasharray: 6 6; }
svg.notes { max-width: 38rem; }
svg.notes .on, svg.notes .on * { fill: #b00020; color: #b00020; stroke: #b00020; }
"""
