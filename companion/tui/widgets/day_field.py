"""A field for a day: typed as people say it, or moved by the arrow keys."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Input

from companion.session.typed_dates import day_moved

DAY_KEYS = "↑↓ a day, PgUp PgDn a week"


class DayField(Input):
    """Up is later. What stands beside the day, such as an hour, is left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(1)", "Day", key_display="↑↓"),
        Binding("down", "move(-1)", show=False),
        Binding("pageup", "move(7)", "Week", key_display="PgUp PgDn"),
        Binding("pagedown", "move(-7)", show=False),
    ]

    def __init__(
        self,
        value: str = "",
        *,
        placeholder: str = "",
        id: str | None = None,  # noqa: A002 the toolkit's word
        is_past: bool = False,
    ) -> None:
        """`is_past` is for days that are over: never later than today; else never earlier."""
        super().__init__(value, placeholder=placeholder, id=id)
        self.is_past = is_past

    def action_move(self, by: int) -> None:
        """So many days later."""
        self.value = day_moved(self.value, by, is_past=self.is_past)
        self.cursor_position = len(self.value)
