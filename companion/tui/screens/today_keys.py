"""What each key of the day's plan does, for the app and in words for the help."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding("a", "accept", "Accept"),
    Binding("u,shift+up", "move(-1)", "Move", key_display="u d"),
    Binding("d,shift+down", "move(1)", show=False),
    Binding("s", "skip", "Skip"),
    Binding("r", "replace", "Replace"),
    Binding("plus", "minutes(1)", "Time", key_display="+-"),
    Binding("minus", "minutes(-1)", show=False),
    Binding("n", "afresh", show=False),
    Binding("f", "filter", show=False),
    Binding("escape", "dismiss", "Back", key_display="esc"),
]
"""What each key does; as many are shown as 80 columns hold, the others are in the help."""

EXPLAINED = [
    ("↑ ↓", "from item to item"),
    ("Enter", "open its bars, to be drilled at the tempo the plan names"),
    ("a", "accept the plan: what is left undone comes back tomorrow"),
    ("u d", "move the item up, down (also Shift+↑ ↓)"),
    ("s", "skip it today; it comes back when it is due"),
    ("r", "replace it by what would have come next"),
    ("+ -", "five minutes more, five fewer"),
    ("n", "make the plan anew"),
    ("f", "only the score that is open, or every score"),
]
"""The same in words, for the help."""
