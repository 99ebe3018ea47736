"""The characters notes are drawn with: those that common terminal fonts have, each one column
wide, and a set in ASCII for terminals that have no others."""

from __future__ import annotations

import os
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

_MARKS = MappingProxyType(
    {
        **{"down-bow": "⊓", "up-bow": "V", "fermata": "∩", "trill-mark": "t", "harmonic": "°"},
        **{"open-string": "°", "stopped": "+", "accent": ">", "strong-accent": "^"},
        **{"staccato": ".", "staccatissimo": "'", "tenuto": "-", "detached-legato": "-"},
        **{"mordent": "~", "inverted-mordent": "~", "turn": "~"},
    }
)
"""Over a note, by MusicXML's words, the most needed first."""


class StaffSigns(NamedTuple):
    """One set of characters."""

    line: str = "─"
    ledger: str = "─"
    bar: str = "┬│┼┴"
    """At the top line, between lines, on a line, at the bottom line."""
    own_bar: str = "╎╎╎╎"
    stem: str = "│"
    black: str = "●"
    white: str = "○"
    breve: str = "□"
    small: str = "•"
    unpitched: str = "x"
    tie: str = "‿"
    slur: tuple[str, str, str] = ("╭", "─", "╮")
    beams_up: tuple[str, ...] = ("┌─┬┐", "╒═╤╕", "╔≡╦╗")
    """For one beam, two, three and more: left end, beam, stem under it, right end."""
    beams_down: tuple[str, ...] = ("└─┴┘", "╘═╧╛", "╚≡╩╝")
    slash: str = "/"
    whole_rest: str = "▀"
    half_rest: str = "▄"
    quarter_rest: str = "ξ"
    short_rest: str = "7"
    """For an eighth; two of them, one under the other, for a sixteenth."""
    accidentals: Mapping[str, str] = MappingProxyType(
        {"#": "♯", "b": "♭", "n": "♮", "##": "x", "bb": "♭♭", "^": "↑", "~": "↓"}
    )
    marks: Mapping[str, str] = _MARKS


UNICODE = StaffSigns()
ASCII = StaffSigns(
    line="-",
    ledger="-",
    bar="+|++",
    own_bar="::::",
    stem="|",
    black="@",
    white="o",
    breve="H",
    small="*",
    tie="_",
    slur=("/", "-", "\\"),
    beams_up=(",-+.", ";=+.", "%%+."),
    beams_down=("`-+'", ";=+'", "%%+'"),
    whole_rest='"',
    half_rest="m",
    quarter_rest="z",
    accidentals=MappingProxyType(
        {"#": "#", "b": "b", "n": "n", "##": "x", "bb": "bb", "^": "^", "~": "v"}
    ),
    marks=MappingProxyType(
        {**_MARKS, "down-bow": "n", "fermata": "u", "harmonic": "o", "open-string": "o"}
    ),
)


def signs_for(encoding: str | None) -> StaffSigns:
    """The signs that a terminal of this encoding shows; the bare console has no music signs."""
    is_bare = os.environ.get("TERM") in ("linux", "dumb")
    return UNICODE if (encoding or "").lower().startswith("utf") and not is_bare else ASCII
