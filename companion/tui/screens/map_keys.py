"""What each key of the map does, for the app and in words for the help."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding("enter", "practise", "Practise", key_display="⏎"),
    Binding("n", "conflict(1)", "Conflict", key_display="n p"),
    Binding("p", "conflict(-1)", "Previous conflict", show=False),
    Binding("g", "go_to", "Go to", show=False),
    Binding("m", "mine", "Mine"),
    Binding("s", "select", "Select", show=False),
    Binding("t", "tempo", "Tempo", show=False),
    Binding("e", "explain", "Explain"),
    Binding("w", "progress", "Progress"),
    Binding("y", "app.today", "Today"),
    Binding("x", "app.exercises", "Exercises", show=False),
    Binding("a", "assumptions", "Assumed", show=False),
    Binding("escape", "back", "Back", show=False),
]
"""What each key does; as many are shown as 80 columns hold, the others are in the help."""

EXPLAINED = [
    ("← →", "by bar"),
    ("Shift+← →", "by screen, as Page Up and Page Down"),
    ("Home End", "first bar, last bar"),
    ("↑ ↓", "by part"),
    ("n p", "next, previous conflict"),
    ("g", "go to a bar or a rehearsal mark"),
    ("m", "the part under the cursor is mine (●)"),
    ("s", "select from here to where you move; Escape lets go"),
    ("Enter", "practise the selection, else this conflict, else four bars"),
    ("t", "change what stays at the last change of meter"),
    ("e", "the score explained to my part: a study sheet"),
    ("w", "how my part goes: what holds, what slips, and why"),
    ("y", "what today is for"),
    ("x", "exercises: what is assigned, by when, and those that are built in"),
    ("a", "everything that was assumed"),
]
"""The same in words, for the help."""
