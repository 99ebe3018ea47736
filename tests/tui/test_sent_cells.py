"""What is sent to the terminal, read back as a terminal reads it (ECMA-48: CUP, SGR)."""

from __future__ import annotations

import re
from itertools import chain

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console
from rich.segment import ControlType, Segment
from rich.style import Style
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.geometry import Region
from textual.strip import Strip

from companion.tui.sent_cells import SentCells

WIDTH, HEIGHT = 12, 3
CONSOLE = Console(color_system="truecolor", force_terminal=True)
STYLES = [
    Style.parse(told)
    for told in (
        "#f2b25c on #16181d",
        "bold #f2b25c on #16181d",
        "#e8e6df on #16181d",
        "#e8e6df on #2a2f3a",
        "underline #e8e6df on #16181d",
        "bold reverse #8ab4ff on #16181d",
        "red on default",
        "none",
        "dim #e8e6df on #16181d",
        "bold dim #e8e6df on #16181d",
    )
]
Seen = dict[tuple[int, int], tuple[str, str]]
"""What stands in a row and a column, and how it looks."""

TEXTS = st.text("ab ·━世é", max_size=9)
ROWS = st.lists(st.tuples(TEXTS, st.sampled_from(STYLES)), max_size=4)
PAINTED = st.one_of(
    st.lists(ROWS, min_size=HEIGHT, max_size=HEIGHT),
    st.tuples(st.integers(0, HEIGHT - 1), st.integers(1, WIDTH), ROWS),
)
"""All rows, or one row up to a column."""


OFF = {"22": ("1", "2"), "23": "3", "24": "4", "27": "7", "29": "9", "39": ("38",)}
"""What ends bold and dim, italic, underlined, reversed, crossed out, a colour."""


class Terminal:
    """A screen that writes where the cursor is, in the colours that were said last."""

    def __init__(self) -> None:
        self.seen: Seen = {}
        self.look: dict[str, str] = {}

    def write(self, sequence: str) -> None:
        row = column = 0
        moves = r"\x1b\[(\d+)(?:;(\d+))?H|\x1b\[([\d;]*)m|([^\x1b])|\x1b\[(\d+)G"
        for found in re.finditer(moves, sequence):
            if found[1]:
                row, column = int(found[1]) - 1, int(found[2] or 1) - 1
            elif found[5]:
                column = int(found[5]) - 1
            elif found[4] is None:
                self._turn(found[3].split(";"))
            else:
                self.seen[row, column] = look_of(found[4], self.look)
                column += cell_len(found[4])

    def _turn(self, numbers: list[str]) -> None:
        while numbers:
            number = numbers.pop(0)
            if number in ("", "0"):
                self.look = {}
            elif number in ("38", "48"):
                self.look[number] = ";".join(numbers[:4])
                del numbers[:4]
            elif number in ("31", "49"):
                self.look["38" if number == "31" else "48"] = number
            elif number in OFF:
                for one in OFF[number]:
                    self.look.pop(one, None)
            else:
                self.look[number] = number


def look_of(sign: str, look: dict[str, str]) -> tuple[str, str]:
    """Of a blank only its background and its lines are seen."""
    shown = {
        kind: told
        for kind, told in look.items()
        if sign != " " or "7" in look or kind in ("48", "4")
    }
    return sign, str(sorted(shown.items()))


def strip(row: list[tuple[str, Style]]) -> Strip:
    return Strip([Segment(text, style) for text, style in row]).adjust_cell_length(WIDTH, STYLES[0])


def drawn(row: Strip, y: int) -> Seen:
    """The row by itself on an empty terminal, as the toolkit sends it."""
    terminal = Terminal()
    terminal.write(f"\x1b[{y + 1};1H{row.render(CONSOLE)}")
    return terminal.seen


def whole(rows: list[Strip]) -> LayoutUpdate:
    return LayoutUpdate([[row] for row in rows], Region(0, 0, WIDTH, HEIGHT))


@given(st.lists(PAINTED, min_size=1, max_size=6))
def test_a_terminal_shows_what_was_painted(
    frames: list[list[list[tuple[str, Style]]] | tuple[int, int, list[tuple[str, Style]]]],
) -> None:
    sent, terminal, expected = SentCells(), Terminal(), dict[tuple[int, int], tuple[str, str]]()
    empty: list[list[tuple[str, Style]]] = [[], [], []]
    for frame in [empty, *frames]:
        if isinstance(frame, list):
            rows = [strip(row) for row in frame]
            update: LayoutUpdate | ChopsUpdate = whole(rows)
            new = {at: one for y, row in enumerate(rows) for at, one in drawn(row, y).items()}
            expected = new
        else:
            y, end, row = frame
            painted = strip(row)
            chops: list[dict[int, Strip | None]] = [{0: None} for _ in range(HEIGHT)]
            chops[y] = {0: painted}
            update = ChopsUpdate(chops, [(y, 0, end)], [[WIDTH]] * HEIGHT)
            rest = strip_of(expected, y, end)
            expected = {at: one for at, one in expected.items() if at[0] != y} | rest
            expected |= drawn(painted.crop(0, end), y)
        terminal.write(sent.sequence(update, CONSOLE))
        shown = {at: one for at, one in terminal.seen.items() if at in expected}
        assert shown == expected


def strip_of(seen: Seen, y: int, begin: int) -> Seen:
    """What stands in a row from a column on."""
    return {(row, x): one for (row, x), one in seen.items() if row == y and x >= begin}


def test_what_is_shown_already_is_not_sent() -> None:
    sent, rows = SentCells(), [strip([("● 3:2", STYLES[1])])] * HEIGHT
    assert sent.sequence(whole(rows), CONSOLE)
    assert sent.sequence(whole(rows), CONSOLE) == ""
    sent.forget()
    assert sent.sequence(whole(rows), CONSOLE)


def test_all_is_sent_after_a_picture() -> None:
    """A picture lies over cells that nobody wrote to: only writing to them takes it away."""
    sent, empty = SentCells(), [strip([])] * HEIGHT
    whole_screen = sent.sequence(whole(empty), CONSOLE)
    picture = Segment("\x1bPq#0~\x1b\\", None, ((ControlType.CURSOR_FORWARD, 0),))
    shown = [Strip([picture, *strip([])]), *empty[1:]]
    assert "#0~" in sent.sequence(whole(shown), CONSOLE)
    assert sent.sequence(whole(empty), CONSOLE) == whole_screen


def test_colours_are_said_once() -> None:
    row = [(text, STYLES[0]) for text in chain("one", " ", "two")]
    assert SentCells().sequence(whole([strip(row)] * HEIGHT), CONSOLE).count("m") == 2
