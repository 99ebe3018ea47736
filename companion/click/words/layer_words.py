"""The words in which layers are asked for, and what is wanted of each.

A word is a layer's name, or `rhythm:` and the name of a part. Which part that is only the
score can tell, so the words are checked here and a part is looked up later.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from companion.click.plan.layers import AnyLayer, Layer
from companion.click.plan.silences import (
    Every,
    Growing,
    Only,
    RandomSilence,
    Silence,
    SilentSide,
    Unit,
)
from companion.click.words.not_understood import refusal
from companion.errors import RequestError

NO_SILENCES = "none"
"""The word for no silences."""
BOTH = "both"
"""Short for `mine,theirs`."""
_RHYTHM = f"{Layer.RHYTHM.value}:"
_OTHER_WORDS = {
    "coincidences": Layer.COINCIDENCE,
    "bars": Layer.BAR,
    "beats": Layer.BEAT,
    "periods": Layer.PERIOD,
}
_PLACES = {"left": -0.75, "centre": 0.0, "center": 0.0, "right": 0.75}
"""Words for places between the ears; the farther one still hears a quarter."""


def parse_layers(text: str) -> tuple[str, ...]:
    """Read `beat,mine,theirs,rhythm:cello`; `both` stands for `mine,theirs`.

    Each layer once, in the order of `Layer`; then `rhythm:` of the parts, in the order given.
    Raises RequestError for a word that is none.
    """
    chosen: dict[str, None] = {}
    for piece in text.split(","):
        if piece.strip().casefold() == BOTH:
            chosen |= {Layer.MINE: None, Layer.THEIRS: None}
        else:
            chosen[layer_word(piece)] = None
    own = tuple(layer for layer in Layer if layer in chosen)
    return (*own, *(word for word in chosen if word.startswith(_RHYTHM)))


def layer_word(text: str) -> str:
    """One layer's own word, or `rhythm:` and a part as it was typed. Raises RequestError."""
    word = text.strip()
    small = word.casefold()
    if small.startswith(_RHYTHM) and small != _RHYTHM:
        return _RHYTHM + word[len(_RHYTHM) :].strip()
    if small in set(Layer):
        return Layer(small)
    if small in _OTHER_WORDS:
        return _OTHER_WORDS[small]
    raise _unknown(small)


def part_in(word: str) -> str | None:
    """The part that `rhythm:cello` names; None for a layer without one."""
    return word[len(_RHYTHM) :] if word.startswith(_RHYTHM) else None


def parse_settings(texts: Iterable[str], what: str) -> dict[str, str]:
    """Read `theirs=0.5` and the like, several joined by commas. Raises RequestError."""
    found: dict[str, str] = {}
    for text in texts:
        for piece in text.split(","):
            word, sign, value = piece.partition("=")
            if not sign or not value.strip():
                raise RequestError(
                    f"“{piece.strip()}” does not say the {what} of a layer",
                    next=f"Write it like theirs={_EXAMPLES[what]}.",
                )
            found[layer_word(word)] = value.strip()
    return found


_EXAMPLES = {"level": "0.5", "place": "left", "voice": "cup"}


def parse_place(text: str) -> float:
    """`left`, `centre`, `right`, or a number from −1 to 1. Raises RequestError."""
    if text.casefold() in _PLACES:
        return _PLACES[text.casefold()]
    return _number(text, "place", -1, 1)


def parse_level(text: str) -> float:
    """A share of a layer's own level, 0 to 2. Raises RequestError."""
    return _number(text, "level", 0, 2)


def _number(text: str, what: str, least: float, most: float) -> float:
    try:
        value = float(text.replace("−", "-"))
    except ValueError:
        value = most + 1
    if not least <= value <= most:
        raise RequestError(f"“{text}” is not a {what}", next=f"Choose {least:g} to {most:g}.")
    return value


def _unknown(word: str) -> RequestError:
    from difflib import get_close_matches

    words = [*Layer, f"{_RHYTHM}PART", BOTH]
    near = get_close_matches(word, words, n=1)
    meant = f"Did you mean “{near[0]}”? " if near else ""
    what = f"“{word}” is not a layer of a click" if word else "a layer of the click is missing"
    return RequestError(what, next=f"{meant}Choose from {', '.join(words)}, joined by commas.")


# The words in which silences and fades are asked for.


_UNIT = r"(?: (?P<unit>bars?|beats?|times?))?"
_EVERY = re.compile(rf"every (?P<number>[0-9]{{1,4}})(?:st|nd|rd|th)?{_UNIT}")
_GROWING = re.compile(rf"growing(?: to (?P<most>[0-9]{{1,4}}))?{_UNIT}")
_RANDOM = re.compile(
    rf"random (?P<share>[0-9]{{1,3}}(?:[.,][0-9]{{1,6}})?)(?P<percent> ?%)?{_UNIT}"
)
_ONLY = re.compile(
    r"(?P<side>mine|theirs) only|(?:in conflicts )?only (?P<other>mine|theirs)(?: sounds)?"
)
_FADE = re.compile(r"(?P<way>in|out) over (?P<over>[0-9]{1,4})(?: times)?")

SILENCE_WORDS = (
    *("every", "growing", "to", "random", "mine", "theirs", "only", NO_SILENCES),
    *("bars", "beats", "times", "bar", "beat", "time"),
)
"""Every word of a silence."""
_HOW = (
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
        return RandomSilence(share / 100 if found["percent"] else share, seed, _unit(found["unit"]))
    if found := _ONLY.fullmatch(words):
        return Only(SilentSide(found["side"] or found["other"]))
    raise refusal(text, "a silence", SILENCE_WORDS, _HOW)


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


# The same words back.


def layers_in_words(layers: Iterable[AnyLayer]) -> str:
    """`beat, theirs, rhythm:Cello`."""
    return ", ".join(layer.value for layer in layers)


def silences_in_words(silences: Iterable[Silence]) -> str:
    """The same words back: `every 4 bars, theirs only`; `none`."""
    return ", ".join(_in_words(silence) for silence in silences) or NO_SILENCES


def _in_words(silence: Silence) -> str:
    if isinstance(silence, Every):
        return f"every {silence.number} {silence.unit}"
    if isinstance(silence, Growing):
        return f"growing to {silence.most} {silence.unit}"
    if isinstance(silence, RandomSilence):
        return f"random {float(silence.share):g} {silence.unit}"
    return f"{silence.side} only"
