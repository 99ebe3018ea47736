"""A handout as one HTML file that needs nothing else: no network, no script, no fonts.

The page says so itself (its content policy lets nothing be fetched), so that it opens the
same on a telephone in a rehearsal room without reception as on a desk, and in ten years.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from html import escape

from companion.publish.handout.conflict_map import PATTERNS
from companion.publish.handout.lesson import Handout
from companion.publish.handout.sections import Drawn, sections

POLICY = "default-src 'none'; style-src 'unsafe-inline'; media-src data:; font-src data:"
"""What a page may load: its own style, and sounds and signs that are written in it."""


def page(handout: Handout, drawn: Sequence[Drawn], home: str = "") -> str:
    """The whole page; `drawn` has one entry for each lesson.

    `home` is the file name of the page that lists this one; empty if none does.
    """
    title = ": ".join(filter(None, (handout.title, handout.for_whom)))
    return document(title, _body(handout, drawn, home))


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


# How a handout looks: on a screen, on a telephone and on paper.


STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem; max-width: 56rem; background: #fff; color: #1a1a1a;
  font: 1rem/1.5 system-ui, "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.8rem; line-height: 1.2; margin: 0 0 .3rem; }
h2 { font-size: 1.3rem; margin: 2.2rem 0 .5rem; border-bottom: 2px solid #1a1a1a; }
h3 { font-size: 1.08rem; margin: 1.3rem 0 .3rem; }
h4 { font-size: 1rem; margin: 1rem 0 .2rem; }
p, ul, ol { margin: .4rem 0; }
ul, ol { padding-left: 1.4rem; }
a { color: #0b3d91; }
a:focus-visible, audio:focus-visible { outline: 3px solid #0b3d91; outline-offset: 2px; }
.lead { font-size: 1.1em; }
.quiet { color: #4a4a4a; font-size: .92em; }
.caution { border: 2px solid #1a1a1a; border-radius: .4rem; padding: .6rem .9rem; }
svg.map, svg.notes { display: block; width: 100%; height: auto; margin: .6rem 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #767676; padding: .3rem .5rem; text-align: left;
  vertical-align: top; }
th { background: #f2f2f2; }
.count { font-variant-numeric: tabular-nums; white-space: nowrap; }
.sounds { display: grid; grid-template-columns: repeat(auto-fit, minmax(14rem, 1fr));
  gap: .8rem; }
figure { margin: 0; }
figcaption { font-weight: 600; }
audio { width: 100%; }
@media screen { .paper { display: none; } }
footer { margin-top: 2.5rem; border-top: 1px solid #767676; }
@page { margin: 16mm; }
@media print {
  body { padding: 0; max-width: none; font-size: 10.5pt; }
  h2, h3, h4 { break-after: avoid; }
  svg, tr, figure, .caution { break-inside: avoid; }
  audio, .screen { display: none; }
  th { background: none; }
  a { color: inherit; text-decoration: none; }
}
"""
"""The style sheet of every page."""
