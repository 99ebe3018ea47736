"""A handout as one HTML file that needs nothing else: no network, no script, no fonts.

The page says so itself (its content policy lets nothing be fetched), so that it opens the
same on a telephone in a rehearsal room without reception as on a desk, and in ten years.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from companion.desk.handout.conflict_map import PATTERNS
from companion.desk.handout.instructions import instructions_html
from companion.desk.handout.lesson import Handout
from companion.desk.handout.sections import Drawn, sections
from companion.desk.handout.style import STYLE

POLICY = "default-src 'none'; style-src 'unsafe-inline'; media-src data:; font-src data:"
"""What a page may load: its own style, and sounds and signs that are written in it."""


def page(handout: Handout, drawn: Sequence[Drawn], home: str = "") -> str:
    """The whole page; `drawn` has one entry for each lesson.

    `home` is the file name of the page that lists this one; empty where none does.
    """
    return document(f"{handout.title}: {handout.for_whom}", _body(handout, drawn, home))


def document(title: str, body: Iterator[str]) -> str:
    """A whole HTML document around the lines of its main part."""
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{escape(title)}</title>",
            f"<style>{STYLE}</style>",
            "</head>",
            "<body>",
            PATTERNS,
            "<main>",
            *body,
            "</main>",
            "</body>",
            "</html>",
            "",
        ]
    )


def _body(handout: Handout, drawn: Sequence[Drawn], home: str) -> Iterator[str]:
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
        yield from sections(lesson, each, 3 if is_titled else 2)
    yield "<footer>"
    yield (
        '<p class="quiet">This page is one file. It loads nothing and sends nothing; it can '
        "be kept, mailed and printed.</p>"
    )
    yield "</footer>"
