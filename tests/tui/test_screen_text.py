"""The text of a screen tells what is seen on it, and nothing else."""

from __future__ import annotations

from rich.color import ColorSystem
from rich.segment import ControlType, Segment
from rich.style import Style
from textual.strip import Strip

from tests.tui.screen_text import Seen, as_text, seen

ALL = ColorSystem.TRUECOLOR


def strip(*told: tuple[str, str]) -> Strip:
    return Strip([Segment(text, Style.parse(style)) for text, style in told])


def looks(*rows: Strip, colours: ColorSystem = ALL) -> list[str]:
    return list(seen(rows, colours).looks)


def test_lines_are_those_of_the_screen_without_their_ends() -> None:
    assert seen([strip(("bar 13 ", "bold"), ("   ", "")), strip()], ALL).lines == ("bar 13", "")


def test_most_signs_look_alike_and_the_others_have_places() -> None:
    row = strip(("one two three ", "#ffffff on #000000"), ("four", "bold red on #000000"))
    assert looks(row) == ["most: #ffffff on #000000", "bold red on #000000", "  1: 15-18"]


def test_rows_below_each_other_with_the_same_columns_are_one_line() -> None:
    rows = [strip(("○ ", "blue"), ("a b c", "")) for _ in range(3)]
    other = strip(("a ", ""), ("○", "blue"), ("b ", ""), ("○", "blue"), ("○", "blue"))
    assert looks(*rows, strip(), *rows, other) == ["most: default", "blue", *PLACES]


PLACES = ["  1-3: 1-2", "  5-7: 1-2", "  8: 3 6-7"]


def test_of_a_blank_only_the_background_is_seen() -> None:
    assert looks(strip(("a", ""), (" ", "bold red"), ("b", ""))) == ["most: default"]
    assert looks(strip(("a", ""), (" ", "red on blue"))) == ["most: default", "on blue", "  1: 2"]
    marked = looks(strip(("a", ""), (" ", "reverse")))
    assert marked == ["most: default", "reverse default", "  1: 2"]


def test_a_wide_sign_is_two_columns_and_a_command_to_the_terminal_none() -> None:
    command = Segment("\x1bPq#0~\x1b\\", None, ((ControlType.CURSOR_FORWARD, 0),))
    row = Strip([command, *strip(("世 a b", ""), ("○", "blue"))])
    assert looks(row)[1:] == ["blue", "  1: 7"]


def test_colours_are_those_that_the_terminal_has() -> None:
    row = strip(("amber", "#ffaf00"))
    assert looks(row, colours=ColorSystem.STANDARD) == ["most: bright_yellow"]


def test_all_grades_stand_below_the_lines() -> None:
    grades = {"full": Seen(("one", "two"), ("most: red",)), "none": Seen((), ("most: default",))}
    told = "one\ntwo\n\n== full ==\nmost: red\n\n== none ==\nmost: default\n"
    assert as_text(grades) == told
