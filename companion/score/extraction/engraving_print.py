"""Engraved pages as one PDF to print, drawn line by line so that it stays sharp.

Its fonts are brought along and put into the file, so that it looks the same on every
machine and printer, whatever is installed there.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from lxml import etree
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from companion.score.extraction.engraving_page import Page

_FONTS = {
    (False, False): "LiberationSerif-Regular",
    (True, False): "LiberationSerif-Bold",
    (False, True): "LiberationSerif-Italic",
    (True, True): "LiberationSerif-BoldItalic",
}
"""A libre font as wide, letter for letter, as the one the engraver reckons with."""
_POINTS_PER_TENTH = 72 / 254


def printed(pages: list[str], fonts: Path, size: tuple[int, int], title: str) -> bytes:
    """A PDF of SVG pages on paper of `size` tenths of a millimetre, fonts from a folder.

    Raises NotDrawn where a page holds an unknown kind of element.
    """
    for name in _FONTS.values():
        registerFont(TTFont(name, str(fonts / f"{name}.ttf")))
    out = BytesIO()
    width, height = (tenths * _POINTS_PER_TENTH for tenths in size)
    canvas = Canvas(
        out, pagesize=(width, height), invariant=1, initialFontName=_FONTS[False, False]
    )
    canvas.setTitle(title)
    for page in pages:
        root = etree.fromstring(page.encode())
        canvas.translate(0, height)
        canvas.scale(1, -1)
        Page(canvas, root, _FONTS).draw(width)
        canvas.showPage()
    canvas.save()
    return out.getvalue()
