"""Our colours by what they mean, and none at all where none are wanted.

`primary` is my side, `secondary` the side against it, `accent` where both meet, the beat and
a new meter, `error` what went wrong. Each is also a sign or a weight of its own.

NO_COLOR alone leaves greys behind; only together with a theme made of the terminal's
own colours, and told so before it starts, does the app send nothing but text.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from msgspec import Struct
from textual.theme import BUILTIN_THEMES, Theme

from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json


class Colours(StrEnum):
    """What a player can choose."""

    DARK = "dark"
    LIGHT = "light"
    CONTRAST = "high contrast"
    TERMINAL = "the terminal's own"


_DARK = Theme(
    name="dark",
    primary="#f2b25c",
    secondary="#8ab4ff",
    accent="#f4f1e8",
    warning="#f2b25c",
    error="#ff8f85",
    success="#a8d08d",
    foreground="#e8e6df",
    background="#16181d",
    surface="#1d2027",
    panel="#2a2f3a",
    dark=True,
    variables={"border": "#6b7385", "footer-key-foreground": "#f2b25c"},
)
"""A dark room with a stand light."""

_LIGHT = Theme(
    name="light",
    primary="#8f4400",
    secondary="#0a56c2",
    accent="#1b1b1b",
    warning="#8f4400",
    error="#b3001b",
    success="#2c6b2f",
    foreground="#24221e",
    background="#faf7f0",
    surface="#f3efe5",
    panel="#e6e0d2",
    dark=False,
    variables={"border": "#857d6c", "footer-key-foreground": "#8f4400"},
)
"""Paper by a window."""

_CONTRAST = Theme(
    name="contrast",
    primary="#ffb000",
    secondary="#6cc4ff",
    accent="#ffffff",
    warning="#ffb000",
    error="#ff9a9a",
    success="#9df09d",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#303030",
    dark=True,
    variables={"border": "#ffffff", "footer-key-foreground": "#ffb000", "text-muted": "#d8d8d8"},
)

_TERMINAL = replace(
    BUILTIN_THEMES["ansi-dark"],
    name="terminal",
    primary="ansi_default",
    secondary="ansi_magenta",
    accent="ansi_default",
    warning="ansi_default",
    error="ansi_red",
    variables={
        **BUILTIN_THEMES["ansi-dark"].variables,
        "border": "ansi_default",
        "border-blurred": "ansi_default",
        "footer-key-foreground": "ansi_magenta",
    },
)
"""Of the sixteen colours, magenta is the one that is read well on black and on white."""

THEMES = {
    Colours.DARK: _DARK,
    Colours.LIGHT: _LIGHT,
    Colours.CONTRAST: _CONTRAST,
    Colours.TERMINAL: _TERMINAL,
}


class _Looks(Struct, frozen=True):
    """What is kept."""

    colours: Colours = Colours.DARK


def chosen_colours(folders: Folders) -> Colours:
    """Those the player chose; dark before that."""
    return (kept_json(folders.data / "looks.json", _Looks) or _Looks()).colours


def keep_colours(folders: Folders, colours: Colours) -> None:
    """For the next start. Raises NotWritten."""
    keep_json(folders.data / "looks.json", _Looks(colours))
