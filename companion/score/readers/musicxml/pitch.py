"""Names of pitches as written: `F#4`, `Bb3`, `C##5`, a quarter tone up `F^4`.

The same few dozen pitches return thousands of times, so a name is made once.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from companion.score.readers.musicxml.text import decimal, whole

UNPITCHED = "x"


@lru_cache(maxsize=4096)
def pitch_name(step: str | None, alter: str | None, octave: str | None) -> str:
    """The name of a <pitch>; empty where its contents name none.

    Alterations between quarter tones are taken to the nearest one.
    """
    letter = (step or "").strip()
    number = whole(octave, -1, 12)
    bend = decimal(alter) if alter and alter.strip() else Fraction(0)
    if letter not in tuple("ABCDEFG") or number is None or bend is None or abs(bend) > 4:
        return ""
    quarter_tones = round(bend * 2)
    half_tones = abs(quarter_tones) // 2
    sign = "#" if quarter_tones > 0 else "b"
    odd = "" if quarter_tones % 2 == 0 else "^" if quarter_tones > 0 else "~"
    return f"{letter}{sign * half_tones}{odd}{number}"
