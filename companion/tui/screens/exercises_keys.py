"""What each key of the list of exercises does, for the app and in words for the help."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding("o", "open", "Open a file"),
    Binding("c", "close", "Take off"),
    Binding("escape", "dismiss", "Back", key_display="esc"),
]
"""What each key does."""

EXPLAINED = [
    ("↑ ↓", "from line to line"),
    ("Enter", "on a drill: practise it, with the tempo plan and click it asks for"),
    ("", "on a title: its sheet; there Enter takes a built-in exercise into your list"),
    ("o", "open a pack or an exercise file by its path"),
    ("c", "take the exercise off the list (asks first; the log keeps what was practised)"),
]
"""The same in words, for the help."""
