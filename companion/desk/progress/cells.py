"""Calendars and bars as cells of one character, darker for more; they read without colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from companion.practice.mastery_states import State
from companion.practice.progress import Week

SHADES = "·░▒▓█"
BOUNDS = (15, 30, 60)
"""Minutes from which a day is drawn darker than its lightest shade."""

STATES = {
    State.NEW: "·",
    State.TAKING_SHAPE: "░",
    State.WITH_CLICK: "▒",
    State.HOLDS: "▓",
    State.READY: "█",
    State.RETURN: "!",
}
UNTOUCHED = " "
_A_ROW = 60
_A_GROUP = 10


def shade(minutes: float) -> int:
    """0 for a day without practice to 4 for an hour or more."""
    if minutes <= 0:
        return 0
    return 1 + sum(minutes >= bound for bound in BOUNDS)


def calendar_lines(weeks: Sequence[Week]) -> Iterator[str]:
    """One line a week: its Monday, its days, its minutes."""
    yield f"{'':10}  M T W T F S S"
    for week in weeks:
        days = " ".join(SHADES[shade(minutes)] for minutes in week.minutes)
        yield f"{week.monday.isoformat()}  {days}  {week.total:5.0f} min"
    yield (
        f"{SHADES[0]} none  {SHADES[1]} under {BOUNDS[0]} min  {SHADES[2]} under {BOUNDS[1]}  "
        f"{SHADES[3]} under {BOUNDS[2]}  {SHADES[4]} more"
    )


def heat_lines(heat: Sequence[State | None], names: Sequence[str]) -> Iterator[str]:
    """The bars of a part in groups of ten, sixty to a line, after the name of its first bar."""
    margin = max((len(names[index]) for index in range(0, len(names), _A_ROW)), default=0)
    for begin in range(0, len(heat), _A_ROW):
        row = [STATES[how] if how else UNTOUCHED for how in heat[begin : begin + _A_ROW]]
        groups = ("".join(row[at : at + _A_GROUP]) for at in range(0, len(row), _A_GROUP))
        yield f"{names[begin]:>{margin}} │{'│'.join(groups)}│"
    yield "  ".join(f"{cell} {how.value}" for how, cell in STATES.items()) + "  (blank) no passage"
