"""One engraved page, drawn onto the canvas of a PDF.

The engraver only writes SVG, and general converters drop what its style sheet says:
staff lines and stems go missing, tempos lose their bold, notes in metronome marks turn
into boxes. Here everything on a page is drawn or the page is refused. All ink is black.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from lxml import etree
from lxml.etree import _Element
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from companion.part.engraving.page_text import Piece, glyph, letters, pieces

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
        for stroke in path_strokes(element.get("d", "")):
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


# The outlines in engraved pages, as the four strokes every printing format knows.


Point = tuple[float, float]

_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Z": 0}
"""How many numbers each command takes."""


@dataclass(frozen=True, slots=True)
class PathStroke:
    """One move of the pen, in absolute coordinates."""

    kind: str
    """`M` set down, `L` straight, `C` curve, `Z` back to where the outline began."""
    points: tuple[Point, ...] = ()
    """Where to; for a curve its two control points before."""


@dataclass(slots=True)
class _Pen:
    at: Point = (0.0, 0.0)
    start: Point = (0.0, 0.0)
    control: Point | None = None


def path_strokes(path: str) -> Iterator[PathStroke]:
    """The strokes of path data. Raises ValueError at a command the engraver never writes."""
    pen = _Pen()
    for command, numbers in _commands(path):
        kind = command.upper()
        if kind == "Z":
            pen.at, pen.control = pen.start, None
            yield PathStroke("Z")
            continue
        base = pen.at if command.islower() else (0.0, 0.0)
        stroke = _MADE[kind](pen, base, numbers)
        pen.control = stroke.points[1] if stroke.kind == "C" else None
        pen.at = stroke.points[-1]
        if stroke.kind == "M":
            pen.start = pen.at
        yield stroke


def _commands(path: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with its numbers; a command said once holds for all numbers after it."""
    tokens = _TOKEN.findall(path)
    at, command = 0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command, at = tokens[at], at + 1
        count = _TAKES.get(command.upper())
        numbers = [float(token) for token in tokens[at : at + (count or 0)]]
        if count is None or len(numbers) < count:
            raise ValueError(f"path data: {command}")
        yield command, numbers
        at += count
        if command in "mM":
            command = "l" if command == "m" else "L"
        elif command in "zZ" and at < len(tokens) and not tokens[at].isalpha():
            raise ValueError("path data: numbers after Z")


def _pairs(base: Point, numbers: list[float]) -> tuple[Point, ...]:
    return tuple(
        (base[0] + x, base[1] + y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)
    )


def _smooth(pen: _Pen, base: Point, numbers: list[float]) -> PathStroke:
    """A curve whose first control point mirrors the last one of the curve before."""
    before = pen.control or pen.at
    mirrored = (2 * pen.at[0] - before[0], 2 * pen.at[1] - before[1])
    return PathStroke("C", (mirrored, *_pairs(base, numbers)))


_MADE: dict[str, Callable[[_Pen, Point, list[float]], PathStroke]] = {
    "M": lambda pen, base, numbers: PathStroke("M", _pairs(base, numbers)),
    "L": lambda pen, base, numbers: PathStroke("L", _pairs(base, numbers)),
    "H": lambda pen, base, numbers: PathStroke("L", ((base[0] + numbers[0], pen.at[1]),)),
    "V": lambda pen, base, numbers: PathStroke("L", ((pen.at[0], base[1] + numbers[0]),)),
    "C": lambda pen, base, numbers: PathStroke("C", _pairs(base, numbers)),
    "S": _smooth,
}


# Engraved pages as one PDF to print, drawn line by line so that it stays sharp.


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

    Raises NotDrawn if a page holds an unknown kind of element.
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
