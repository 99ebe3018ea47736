"""What the terminal shows, cell by cell, so that only cells that change are sent to it.

The toolkit sends each part of the screen that was painted again, whole, and says the colours anew
for every piece of text: to open a question above the map of a large score took 50 KB. Over a slow
line that is what a player waits for.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import repeat

from rich.cells import get_character_cell_size
from rich.color import ColorSystem
from rich.console import Console
from textual._compositor import ChopsUpdate, CompositorUpdate, LayoutUpdate
from textual.strip import Strip

Cell = tuple[str, str]
"""A character (empty in the second column of a wide one) and its colours, as SGR parameters of
ECMA-48."""
_NEAR = 6
"""Unchanged cells of so many bytes are sent again: to move the cursor over them takes as many."""
_RESET = "\x1b[m"


class SentCells:
    """What was sent so far."""

    def __init__(self) -> None:
        self._rows: dict[int, list[Cell]] = {}
        self._has_picture = False

    def forget(self) -> None:
        """Nobody knows what the terminal shows."""
        self._rows.clear()

    def changes(self, update: LayoutUpdate | ChopsUpdate) -> CompositorUpdate:
        """Of what was painted what is new on the terminal, told when it is really sent."""
        return _Changes(self, update)

    def sequence(self, update: LayoutUpdate | ChopsUpdate, console: Console) -> str:
        """What shows it on the terminal, which it is taken to have done then."""
        # What a picture covers is no cell: all is sent until a whole screen is without one.
        if self._has_picture:
            self.forget()
        if isinstance(update, LayoutUpdate):
            self._has_picture = False
        colours = console._color_system or ColorSystem.TRUECOLOR
        sent: list[str | Cell] = []
        for y, x, strip in _painted(update):
            if any(one.control or (one.style and one.style.link) for one in strip):
                self._has_picture = True
                sent.append(f"{_RESET}\x1b[{y + 1};{x + 1}H{strip.render(console)}")
            else:
                sent += self._sent(y, x, [*_cells(strip, colours)])
        return "".join((*_with_colours(sent), _RESET)) if sent else ""

    def _sent(self, y: int, x: int, cells: list[Cell]) -> Iterator[str | Cell]:
        """Moves of the cursor and cells."""
        row = self._rows.setdefault(y, [])
        row += repeat(("", "?"), x + len(cells) - len(row))
        before = row[x : x + len(cells)]
        row[x : x + len(cells)] = cells
        if before == cells:
            return
        at: int | None = None  # the column after the last one that was sent
        for column, (cell, other) in enumerate(zip(cells, before, strict=True)):
            if cell == other:
                continue
            if at is None:
                yield f"\x1b[{y + 1};{x + column + 1}H" if x + column else f"\x1b[{y + 1}H"
                at = column
            elif _bytes_of(cells[at : min(column, at + _NEAR + 1)]) > _NEAR:
                yield f"\x1b[{x + column + 1}G"
                at = column
            yield from cells[at : column + 1]
            at = column + 1


def _bytes_of(cells: list[Cell]) -> int:
    return sum(len(sign.encode()) for sign, _ in cells)


class _Changes(CompositorUpdate):
    """What the toolkit draws instead of its own update."""

    def __init__(self, sent: SentCells, update: LayoutUpdate | ChopsUpdate) -> None:
        self._sent = sent
        self._update = update

    def render_segments(self, console: Console) -> str:
        """The sequence for the terminal."""
        return self._sent.sequence(self._update, console)


def _painted(update: LayoutUpdate | ChopsUpdate) -> Iterator[tuple[int, int, Strip]]:
    """Each piece that was painted again, with its row and its column."""
    if isinstance(update, LayoutUpdate):
        for y, line in enumerate(update.strips, update.region.y):
            x = update.region.x
            for strip in line:
                yield y, x, strip
                x += strip.cell_length
        return
    for y, begin, end in update.spans:
        for stop, (x, piece) in zip(update.chop_ends[y], update.chops[y].items(), strict=False):
            if piece is not None and x <= end and stop > begin:
                is_whole = begin <= x < end and stop <= end
                yield y, x, piece if is_whole else piece.crop(0, min(stop, end) - x)


def _cells(strip: Strip, colours: ColorSystem) -> Iterator[Cell]:
    for text, style, _ in strip:
        sgr = ""
        if style is not None:
            sgr = style._ansi if style._ansi is not None else Strip.render_ansi(style, colours)
        if text.isspace():
            yield from repeat((" ", _of_blank(sgr)), len(text))
        elif text.isascii():
            blank = _of_blank(sgr)
            yield from [(sign, blank if sign == " " else sgr) for sign in text]
        else:
            yield from _wide_cells(text, sgr)


def _wide_cells(text: str, sgr: str) -> list[Cell]:
    """A sign over two columns fills the second with nothing; one without width joins its letter."""
    cells: list[Cell] = []
    blank = _of_blank(sgr)
    for sign in text:
        if sign == " ":
            cells.append((sign, blank))
            continue
        width = get_character_cell_size(sign)
        if width == 0 and cells:
            at = -1 if cells[-1][0] else -2
            cells[at] = (cells[at][0] + sign, cells[at][1])
        else:
            cells += [(sign, sgr), *repeat(("", sgr), width - 1)]
    return cells


def _with_colours(sent: list[str | Cell]) -> Iterator[str]:
    """Colours are said where they change."""
    last = ""
    for one in sent:
        if isinstance(one, str):
            yield one
            if one.startswith(_RESET):
                last = ""
            continue
        sign, sgr = one
        if sgr != last and not (sign == " " and sgr == _of_blank(last)):
            yield _turned(last, sgr)
            last = sgr
        yield sign


_OFF = {"fg": "39", "bg": "49", "1": "22", "2": "22", "3": "23", "4": "24", "7": "27", "9": "29"}
"""What takes each back (ECMA-48, 8.3.117)."""


def _turned(last: str, sgr: str) -> str:
    """From one set of colours to another: what is taken back, then what is new."""
    if not sgr:
        return _RESET
    before, wanted = _parameters(last), _parameters(sgr)
    gone = before.keys() - wanted.keys()
    if not gone <= _OFF.keys():
        return f"\x1b[0;{sgr}m"
    if gone & {"1", "2"}:  # both go together
        before = {kind: told for kind, told in before.items() if kind not in ("1", "2")}
    off = sorted({_OFF[kind] for kind in gone})
    new = [told for kind, told in wanted.items() if before.get(kind) != told]
    return f"\x1b[{';'.join([*off, *new])}m"


_SEEN_ON_BLANKS = ("bg", "4", "7", "9", "21", "53")
"""Background, lines under, through and over, reverse video (ECMA-48)."""


@lru_cache(maxsize=512)
def _of_blank(sgr: str) -> str:
    """Of some colours what is seen where nothing is written."""
    told = _parameters(sgr)
    if "7" in told:
        return sgr
    return ";".join(told[kind] for kind in _SEEN_ON_BLANKS if kind in told)


@lru_cache(maxsize=512)
def _parameters(sgr: str) -> dict[str, str]:
    """Its parts by what they set: `fg`, `bg`, and each attribute by its number."""
    found: dict[str, str] = {}
    numbers = iter(sgr.split(";")) if sgr else iter(())
    for number in numbers:
        if number in ("38", "48"):
            rest = [next(numbers)]
            rest += [next(numbers) for _ in range(1 if rest[0] == "5" else 3)]
            found["fg" if number == "38" else "bg"] = ";".join([number, *rest])
        elif len(number) > 1 and number[:-1] in ("3", "9"):
            found["fg"] = number
        elif len(number) > 1 and number[:-1] in ("4", "10"):
            found["bg"] = number
        else:
            found[number] = number
    return found
