"""Whether this terminal shows pictures, and the widget that shows one.

The library asks the terminal when it is imported, which cannot be done while the app reads
the keyboard; so the app steps aside for that moment, once, when a picture is first wanted.
Pictures made of half characters are never taken: notes in them cannot be read.
"""

from __future__ import annotations

import os
import sys
from enum import Enum
from importlib import import_module

from textual.app import App, SuspendNotSupported
from textual.widget import Widget

_TERMS = ("xterm-kitty", "xterm-ghostty", "foot", "mlterm", "contour")
_PROGRAMS = ("WezTerm", "iTerm.app", "ghostty", "rio")


class Pictures(Enum):
    """How a terminal takes pictures."""

    KITTY = "kitty"
    SIXEL = "sixel"
    NONE = "none"


def is_likely() -> bool:
    """Whether the terminal says by its name that it shows pictures; asks nothing."""
    if "TMUX" in os.environ:
        return False
    term = os.environ.get("TERM", "")
    named = term.startswith(_TERMS) or os.environ.get("TERM_PROGRAM") in _PROGRAMS
    return named or "KITTY_WINDOW_ID" in os.environ


def pictures_of(app: App[object]) -> Pictures:
    """What the terminal answers."""
    if not (sys.__stdout__ and sys.__stdout__.isatty()):
        return Pictures.NONE
    if "textual_image.renderable" not in sys.modules:
        try:
            with app.suspend():
                import_module("textual_image.renderable")
        except SuspendNotSupported:
            return Pictures.NONE
    from textual_image.renderable import Image, SixelImage, TGPImage

    return {TGPImage: Pictures.KITTY, SixelImage: Pictures.SIXEL}.get(Image, Pictures.NONE)


def picture_widget(png: bytes, pictures: Pictures) -> Widget:
    """A widget that shows a picture; only after the terminal was asked."""
    from io import BytesIO

    from textual_image.widget import SixelImage, TGPImage

    return (TGPImage if pictures is Pictures.KITTY else SixelImage)(BytesIO(png))
