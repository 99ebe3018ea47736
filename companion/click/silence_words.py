"""The words in which silences and fades are asked for.

every 4            every 3 beats       every 2 times
growing            growing to 4 beats
random 0.3         random 20% beats
mine only          theirs only
out over 4         in over 6           (after the name of a layer)
"""

from __future__ import annotations

import re
from fractions import Fraction

from companion.click.layer_words import layer_word
from companion.click.silences import Chance, Every, Growing, Only, Side, Silence, Unit
from companion.errors import RequestError

_UNIT = r"(?: (?P<unit>bars?|beats?|times?))?"
_EVERY = re.compile(rf"every (?P<number>[0-9]{{1,4}})(?:st|nd|rd|th)?{_UNIT}")
_GROWING = re.compile(rf"growing(?: to (?P<most>[0-9]{{1,4}}))?{_UNIT}")
_RANDOM = re.compile(
    rf"random (?P<share>[0-9]{{1,3}}(?:[.,][0-9]{{1,6}})?)(?P<percent> ?%)?{_UNIT}"
)
_ONLY = re.compile(r"(?:(?P<side>mine|theirs) only|only (?P<other>mine|theirs))")
_FADE = re.compile(r"(?P<way>in|out) over (?P<over>[0-9]{1,4})(?: times)?")

HOW = (
    "Write every 4, or every 3 beats, or growing, or growing to 4, or random 0.3, "
    "or mine only, or theirs only."
)


def parse_silence(text: str, seed: int = 0) -> Silence:
    """Read one silence. `seed` is for those left to chance. Raises RequestError."""
    words = " ".join(text.casefold().split())
    if found := _EVERY.fullmatch(words):
        return Every(int(found["number"]), _unit(found["unit"]))
    if found := _GROWING.fullmatch(words):
        return Growing(int(found["most"] or Growing().most), _unit(found["unit"]))
    if found := _RANDOM.fullmatch(words):
        share = Fraction(found["share"].replace(",", "."))
        return Chance(share / 100 if found["percent"] else share, seed, _unit(found["unit"]))
    if found := _ONLY.fullmatch(words):
        return Only(Side(found["side"] or found["other"]))
    raise RequestError(f"“{text}” is not a silence", next=HOW)


def parse_fade(text: str) -> tuple[str, int, bool]:
    """Read `theirs out over 4`: (the layer’s word, times, whether it comes)."""
    words = " ".join(text.split())
    layer, _, rest = words.rpartition(" over ")
    layer, _, way = layer.rpartition(" ")
    found = _FADE.fullmatch(f"{way} over {rest}".casefold())
    if not found or not layer:
        raise RequestError(f"“{text}” is not a fade", next="Write theirs out over 4, say.")
    return layer_word(layer), int(found["over"]), found["way"] == "in"


def _unit(word: str | None) -> Unit:
    return Unit(word if word.endswith("s") else f"{word}s") if word else Unit.BARS
