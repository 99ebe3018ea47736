"""Days as a player says them, the same in every reason, plan and page."""

from __future__ import annotations

from datetime import date

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def day_told(day: date | int) -> str:
    """`3 May 2026`, whatever language the machine is set to; an int is an ordinal."""
    told = date.fromordinal(day) if isinstance(day, int) else day
    return f"{told.day} {_MONTHS[told.month - 1]} {told.year}"


def ago_told(days: int) -> str:
    """`today`, `yesterday`, `24 days ago`."""
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def count_told(count: int, one: str, many: str = "") -> str:
    """`1 day`, `3 days`."""
    return f"{count} {one if count == 1 else many or one + 's'}"
