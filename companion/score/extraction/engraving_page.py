"""One engraved page, drawn onto the canvas of a PDF.

The engraver only writes SVG, and general converters drop what its style sheet says:
staff lines and stems go missing, tempos lose their bold, notes in metronome marks turn
into boxes. Here everything on a page is drawn or the page is refused. All ink is black.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from lxml import etree
from lxml.etree import _Element
from reportlab.pdfgen.canvas import Canvas

from companion.score.extraction.engraving_metrics import glyph
from companion.score.extraction.engraving_path import strokes
from companion.score.extraction.engraving_text import Piece, letters, pieces

_UNDRAWN = frozenset({"defs", "desc", "style", "title"})
_HIDDEN = "placeholder"
"""The class the engraver's style sheet hides."""
_HREF = "{http://www.w3.org/1999/xlink}href"
_NON_ZERO = 1


class NotDrawn(Exception):
    """A page holds something there is no way to draw here."""


class Page:
    """One page being drawn, its words in the fonts of the canvas (bold, italic) → name."""

    def __init__(
        self, canvas: Canvas, root: _Element, fonts: Mapping[tuple[bool, bool], str]
    ) -> None:
        self._fonts = fonts
        self._canvas = canvas
        self._root = root
        self._glyphs = {f"#{group.get('id')}": group for group in root.iterfind("{*}defs/{*}g")}
        self._draw: dict[str, Callable[[_Element], None]] = {
            "svg": self._inner_page,
            "g": self._group,
            "use": self._use,
            "path": self._path,
            "polygon": self._polygon,
            "polyline": self._polyline,
            "rect": self._rect,
            "ellipse": self._ellipse,
            "text": self._text,
        }

    def draw(self, width: float) -> None:
        """Draw all of it, `width` points wide."""
        scale = width / _view_width(self._root)
        self._canvas.scale(scale, scale)
        self._children(self._root)

    def _element(self, element: _Element) -> None:
        if _is_hidden(element):
            return
        name = etree.QName(element).localname
        if name in _UNDRAWN:
            return
        if name not in self._draw:
            raise NotDrawn(name)
        self._canvas.saveState()
        _move(self._canvas, element.get("transform", ""))
        self._draw[name](element)
        self._canvas.restoreState()

    def _children(self, element: _Element) -> None:
        for child in element:
            self._element(child)

    def _inner_page(self, element: _Element) -> None:
        scale = _view_width(self._root) / _view_width(element)
        self._canvas.scale(scale, scale)
        self._children(element)

    def _group(self, element: _Element) -> None:
        self._children(element)

    def _use(self, element: _Element) -> None:
        href = element.get(_HREF, "")
        if href not in self._glyphs:
            raise NotDrawn(href)
        self._children(self._glyphs[href])

    def _path(self, element: _Element) -> None:
        outline = self._canvas.beginPath()
        draw = {
            "M": outline.moveTo,
            "L": outline.lineTo,
            "C": outline.curveTo,
            "Z": outline.close,
        }
        for stroke in strokes(element.get("d", "")):
            draw[stroke.kind](*(number for point in stroke.points for number in point))
        self._ink(outline, element)

    def _polygon(self, element: _Element) -> None:
        self._corners(element, is_closed=True)

    def _polyline(self, element: _Element) -> None:
        self._corners(element, is_closed=False)

    def _corners(self, element: _Element, *, is_closed: bool) -> None:
        numbers = [
            float(number) for number in re.split(r"[\s,]+", element.get("points", "").strip())
        ]
        outline = self._canvas.beginPath()
        outline.moveTo(*numbers[:2])
        for x, y in zip(numbers[2::2], numbers[3::2], strict=True):
            outline.lineTo(x, y)
        if is_closed:
            outline.close()
        self._ink(outline, element)

    def _rect(self, element: _Element) -> None:
        outline = self._canvas.beginPath()
        outline.rect(*_numbers(element, "x", "y", "width", "height"))
        self._ink(outline, element)

    def _ellipse(self, element: _Element) -> None:
        x, y, across, down = _numbers(element, "cx", "cy", "rx", "ry")
        outline = self._canvas.beginPath()
        outline.ellipse(x - across, y - down, 2 * across, 2 * down)
        self._ink(outline, element)

    def _ink(self, outline: object, element: _Element) -> None:
        """Fill an outline, draw its line, or both, as its attributes say."""
        canvas, line = self._canvas, float(element.get("stroke-width", 0))
        canvas.setLineWidth(line)
        canvas.setLineCap(1 if element.get("stroke-linecap") == "round" else 0)
        canvas.setLineJoin(1 if element.get("stroke-linejoin") == "round" else 0)
        dashes = [
            float(dash) for dash in re.findall(r"[\d.]+", element.get("stroke-dasharray", ""))
        ]
        canvas.setDash(dashes)
        is_filled = element.get("fill") != "none" and element.get("fill-opacity") != "0"
        canvas.drawPath(outline, stroke=int(line > 0), fill=int(is_filled), fillMode=_NON_ZERO)

    def _text(self, element: _Element) -> None:
        for piece in pieces(element):
            if piece.is_music:
                self._signs(piece)
            else:
                self._words(piece)

    def _words(self, piece: Piece) -> None:
        self._canvas.saveState()
        self._canvas.translate(piece.x, piece.y)
        self._canvas.scale(1, -1)
        self._canvas.setFont(self._fonts[piece.is_bold, piece.is_italic], piece.size)
        self._canvas.drawString(0, 0, piece.text)
        self._canvas.restoreState()

    def _signs(self, piece: Piece) -> None:
        for sign in letters(piece):
            self._canvas.saveState()
            self._canvas.translate(sign.x, sign.y)
            self._canvas.scale(sign.size / 1000, sign.size / 1000)
            self._children(glyph(sign.text))
            self._canvas.restoreState()


def _is_hidden(element: _Element) -> bool:
    is_comment = not isinstance(element.tag, str)
    is_kept_dark = element.get("visibility") == "hidden"
    return is_comment or is_kept_dark or _HIDDEN in element.get("class", "").split()


def _view_width(element: _Element) -> float:
    return float(element.get("viewBox", "0 0 1 1").split()[2])


def _numbers(element: _Element, *names: str) -> tuple[float, ...]:
    return tuple(float(element.get(name, 0)) for name in names)


def _move(canvas: Canvas, transform: str) -> None:
    """Shift, turn or stretch what follows as a transform attribute says."""
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", transform):
        numbers = [float(number) for number in re.split(r"[\s,]+", inside.strip())]
        if name == "translate":
            canvas.translate(numbers[0], numbers[1] if len(numbers) > 1 else 0)
        elif name == "scale":
            canvas.scale(numbers[0], numbers[-1])
        elif name == "rotate":
            angle, x, y = (*numbers, 0.0, 0.0)[:3]
            canvas.translate(x, y)
            canvas.rotate(angle)
            canvas.translate(-x, -y)
        else:
            raise NotDrawn(name)
