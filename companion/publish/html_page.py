"""A whole HTML document that needs nothing else: no network, no fonts, no other file.

The page says so itself (its content policy lets nothing be fetched), so that it opens the
same on a telephone in a rehearsal room without reception as on a desk, and in ten years.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator
from hashlib import sha256
from html import escape

from companion.files.whole_file import MARK

POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; font-src data:; "
    "base-uri 'none'; form-action 'none'"
)
"""What a page may load: its own style, and signs that are written in it. It sends nothing."""


def document(
    title: str, body: Iterator[str], *, style: str = "", script: str = "", record: str = ""
) -> str:
    """A whole HTML document around the lines of its main part.

    `style` is added to that of every page. `script` runs at its end, and the page lets no
    other run; `record` is an element with what it has to know.
    """
    policy = f"{POLICY}; script-src 'sha256-{_hash(script)}'" if script else POLICY
    return "\n".join(
        [
            "<!DOCTYPE html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{escape(title)}</title>",
            f"<style>{STYLE}{style}</style>",
            "</head>",
            "<body>",
            "<main>",
            *body,
            "</main>",
            *([record, f"<script>{script}</script>"] if script else []),
            "</body>",
            "</html>",
            f"<!-- {MARK} -->",
            "",
        ]
    )


def _hash(script: str) -> str:
    """As a content policy names a script (Content Security Policy Level 3)."""
    return base64.b64encode(sha256(script.encode()).digest()).decode("ascii")


# How a page looks: on a screen, on a telephone and on paper.


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
:focus-visible { outline: 3px solid #0b3d91; outline-offset: 2px; }
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
footer { margin-top: 2.5rem; border-top: 1px solid #767676; }
@page { margin: 16mm; }
@media print {
  body { padding: 0; max-width: none; font-size: 10.5pt; }
  h2, h3, h4 { break-after: avoid; }
  svg, tr, .caution { break-inside: avoid; }
  .screen { display: none; }
  th { background: none; }
  a { color: inherit; text-decoration: none; }
}
"""
"""The style sheet of every page."""
