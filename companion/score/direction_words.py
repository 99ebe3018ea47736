"""What is printed over the first bar of a section (common practice, no source)."""

from __future__ import annotations

import re
from enum import Enum
from functools import lru_cache

SECTION_WORD = re.compile(r"\W*(trio|maggiore|minore|alternativo|coda)\b", re.I)
"""Headings of a middle section or an ending; match from the beginning."""


# Words a tempo begins with, in the languages of the trade (common practice, no source).


_TEMPO_WORD = (
    r"^\W*(assai |molto |poco |un poco |pi[uù] |meno |sempre |non troppo |quasi |ritmo )*"
    r"(grav(e|issimo)|larg(o|hetto|amente)|lento|lentamente|adagi(o|etto|ssimo)|andant(e|ino)"
    r"|moderato|allegr(o|etto|amente)|viv(o|ace|acissimo)|prest(o|issimo)|maestoso|animato"
    r"|mosso|tempo|a tempo|l.?istesso|listesso|doppio movimento|rit(ard(ando)?|en(uto)?)?"
    r"|rall(entando)?|allarg(ando)?|accel(erando)?|string(endo)?|affrett(ando)?|stretto"
    r"|langsam(er)?|breit|ruhig|m[aä](ß|ss)ig|bewegt(er)?|lebhaft(er)?|rasch(er)?|schnell(er)?"
    r"|lent|mod[eé]r[eé]|anim[eé]|vif|slow(er)?|fast(er)?|quick(er)?)\b"
)


def begins_with_tempo(text: str) -> bool:
    """Whether words begin with one of a tempo."""
    return bool(re.search(_TEMPO_WORD, text, re.I))


# What words about tempo mean, as far as it can be counted (common practice, no source).


class TempoWordMeaning(Enum):
    """What words about tempo mean."""

    FIRST = "the first tempo again"
    TWICE = "twice as fast"
    BEFORE = "the tempo before the gradual change"
    SLOWER = "slower and slower"
    FASTER = "faster and faster"
    ANOTHER = "another tempo, without a number"


_WORDS = {
    TempoWordMeaning.FIRST: r"\b(tempo (primo|1(mo|[°º])|i(?![a-zà-ü])))",
    TempoWordMeaning.TWICE: r"\bdoppio movimento\b",
    TempoWordMeaning.BEFORE: r"\ba tempo\b",
    TempoWordMeaning.SLOWER: r"\b(rit(ard)?(ando)?|rall(entando)?|allarg(ando)?|calando)\b\.?",
    TempoWordMeaning.FASTER: r"\b(accel(erando)?|string(endo)?|affrett(ando)?)\b\.?",
    TempoWordMeaning.ANOTHER: r"\b(pi[uù]|meno) (mosso|lento|allegro|presto|vivo|adagio)\b",
}
"""Compiled when first searched for: few commands look at words, and all load this file."""


@lru_cache(maxsize=1024)
def tempo_word_meaning(text: str) -> TempoWordMeaning | None:
    """What words mean; None if they say nothing about the tempo."""
    return next(
        (meaning for meaning, pattern in _WORDS.items() if re.search(pattern, text, re.I)), None
    )


# Words on the page that direct where the music goes.


JUMP_WORDS = (
    (re.compile(r"(?i:\bd\. ?c\.|\bda capo\b)|^\W*DC\b"), "dacapo"),
    (re.compile(r"(?i:\bd\. ?s\.|\bdal segno\b)|^\W*DS\b|\b(?i:dal|d\.?) ?[𝄋%]"), "dalsegno"),
    (re.compile(r"^\W*fine\W*$", re.I), "fine"),
    (re.compile(r"^\W*to (the )?coda\b", re.I), "tocoda"),
)
"""(pattern, kind of mark)."""
