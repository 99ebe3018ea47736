"""Which frequency a note has, and which note a player's word means.

Equal temperament from a chosen A. A player types the note as printed in most books
(`A3`, `Bb2`, `F#4`; middle C is C4), never a number.
"""

from __future__ import annotations

import re

from companion.errors import RequestError

LOWEST_A, HIGHEST_A = 415.0, 445.0
"""Hertz of the A above middle C that can be asked for: from the customary low pitch of old
instruments (a semitone under 440) to the highest of present orchestras (common practice,
no source)."""
A = 440.0
"""Hertz if nothing is asked for (ISO 16:1975, from memory)."""
A_KEY = 69
"""The A above middle C, where middle C is 60."""

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NOTE = re.compile(r"([A-Ga-g])(#{0,2}|b{0,2}|♯|♭)(\d)")
_LOWEST, _HIGHEST = 21, 96
"""A0 and C7: below, no small loudspeaker sounds; above, nobody tunes."""


def hertz(pitch: float, a: float = A) -> float:
    """The frequency of a sounding pitch in semitones (middle C = 60), equal temperament."""
    return float(a * 2 ** ((pitch - A_KEY) / 12))


def checked_a(a: float) -> float:
    """The same tuning. Raises RequestError if it is outside the range or not a number."""
    if not LOWEST_A <= a <= HIGHEST_A:
        raise RequestError(
            f"A = {a:g} Hz is outside {LOWEST_A:g}–{HIGHEST_A:g}",
            next="Choose a tuning in that range.",
        )
    return a


def parse_a(text: str) -> float:
    """Read `442` or `A=415`. Raises RequestError."""
    number = text.strip().upper().removeprefix("A").strip().removeprefix("=").strip()
    try:
        return checked_a(float(number))
    except ValueError:
        raise RequestError(f"“{text}” is not a tuning", next="Write 442, say.") from None


def parse_note(text: str) -> int:
    """Read `A3`, `Bb2` or `F#4` as a sounding pitch in semitones. Raises RequestError."""
    match = _NOTE.fullmatch(text.strip())
    if match is None:
        raise RequestError(f"“{text}” is not a note", next="Write A3, Bb2 or F#4; middle C is C4.")
    step, sign, octave = match.groups()
    alter = len(sign) if sign.startswith(("#", "♯")) else -len(sign)
    pitch = 12 * (int(octave) + 1) + _STEPS[step.upper()] + alter
    if not _LOWEST <= pitch <= _HIGHEST:
        raise RequestError(f"{text} is too low or too high for a drone", next="Choose A0 to C7.")
    return pitch


def note_told(pitch: int) -> str:
    """`A3`, `B♭2`: a sounding pitch as a player names it."""
    names = ("C", "C♯", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B")
    return f"{names[pitch % 12]}{pitch // 12 - 1}"
