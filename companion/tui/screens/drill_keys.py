"""What each key of the drill does, for the app and in words for the help."""

from __future__ import annotations

from textual.binding import Binding, BindingType

from companion.desk.drill_in_words import LAYER_KEYS, LAYER_MEANINGS
from companion.tui.screens.drill_questions import ASKED

KEYS: list[BindingType] = [
    Binding("space", "start_or_pause", "Play", key_display="space"),
    Binding("left", "seek(-1)", "Bar", key_display="←→"),
    Binding("right", "seek(1)", show=False),
    Binding("a", "again", show=False),
    Binding("up,plus", "faster(1)", "Tempo", key_display="↑↓"),
    Binding("down,minus", "faster(-1)", show=False),
    Binding("shift+up,pageup", "faster(5)", show=False),
    Binding("shift+down,pagedown", "faster(-5)", show=False),
    *(Binding(key, f"layer('{key}')", show=False) for key in LAYER_KEYS),
    Binding("o", "others", show=False),
    *(Binding(key, f"ask('{key}')", show=False) for key in ASKED),
    Binding("c", "count_in", show=False),
    Binding("v", "sound", show=False),
    Binding("s", "stop", show=False),
    Binding("h", "hide", show=False),
    Binding("e,enter", "how_did_it_go", "How it went", key_display="⏎"),
    Binding("escape", "leave", "Back", key_display="esc"),
    Binding("q", "quit", "Quit"),
]
"""What each key does."""

EXPLAINED = [
    ("Space", "start, pause, go on"),
    ("← →", "to the bar before, the next bar; while stopped, where to begin"),
    ("a", "again from the bar that is on, counted in"),
    ("↑ ↓", "one beat a minute faster, slower"),
    ("Shift+↑ ↓", "five (also Page Up, Page Down)"),
    ("p", "a tempo plan: a ladder, a ramp, two tempos by turns"),
    *((key, f"{layer.value}: {LAYER_MEANINGS[layer]}") for key, layer in LAYER_KEYS.items()),
    ("w", "layers in words: bar, coincidence, a part's written rhythm"),
    ("x", "silences: bars in which the click leaves, or one side alone"),
    ("o", "the others play along, or not"),
    ("O", "which of them, how they sound, the tuning, a drone"),
    ("c", "count-in of 0, 1 or 2 bars, from the next start on"),
    ("v", "sound device, and how late your ear is"),
    ("s", "stop, back to the beginning"),
    ("h", "hide the other parts, or show them"),
    ("Enter or e", "say how it went; it is written into the log"),
]
"""The same in words, for the help."""
