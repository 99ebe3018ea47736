"""SVG as text: elements with their attributes escaped, and text in them.

Pictures of rectangles, lines and words need no library. Lengths are in the picture's own units.
"""

from __future__ import annotations

import re
from html import escape

_NOT_XML = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that no XML document may hold (XML 1.0, production 2)."""


def element(name: str, *inside: str, **attributes: str | float | None) -> str:
    """An element; `inside` is SVG already.

    `font_size=12` becomes `font-size="12"`; numbers have at most one decimal, and an attribute
    that is None is left out.
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    return f"<{name}{written}>{''.join(inside)}</{name}>" if inside else f"<{name}{written}/>"


def text(x: float, y: float, words: str, size: int, **attributes: str | float | None) -> str:
    """Words whose baseline begins at (x, y)."""
    return element("text", _escaped(words), x=x, y=y, font_size=size, **attributes)


def rect(
    x: float, y: float, width: float, height: float, *inside: str, **attributes: str | float | None
) -> str:
    """A rectangle with its left upper corner at (x, y)."""
    return element("rect", *inside, x=x, y=y, width=width, height=height, **attributes)


def path(d: str, ink: str, width: float = 1, **attributes: str | float | None) -> str:
    """Lines without a filling, along SVG's path commands `d`."""
    return element("path", d=d, stroke=ink, stroke_width=width, fill="none", **attributes)


def title(words: str) -> str:
    """What the element around it is: read aloud, and shown under a pointer."""
    return element("title", _escaped(words))


def _value(value: str | float) -> str:
    return _escaped(value) if isinstance(value, str) else f"{value:.1f}".removesuffix(".0")


def _escaped(words: str) -> str:
    return escape(_NOT_XML.sub("", words))
