"""Our colours, and none at all where none are wanted.

NO_COLOR alone leaves greys behind; only together with a theme made of the terminal's
own colours, and told so before it starts, does the app send nothing but text.
"""

from __future__ import annotations

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    primary="#8fd3c8",
    secondary="#9db7f5",
    accent="#f0c674",
    warning="#f2a272",
    error="#f28b82",
    success="#a8d08d",
    foreground="#e8e6df",
    background="#16181d",
    surface="#1d2027",
    panel="#2a2f3a",
    dark=True,
)
"""A dark room with a stand light."""


COLOURLESS = "ansi-dark"
"""The toolkit's own theme that leaves every colour to the terminal."""
