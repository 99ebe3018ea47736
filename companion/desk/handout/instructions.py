"""A teacher's words in Markdown as HTML: paragraphs, lists, headings, emphasis.

Only what is listed here becomes an element; everything else is shown as it was typed, so
that no text of an exercise can put a link, a picture or a script into the page.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape

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
