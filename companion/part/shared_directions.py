"""Which directions are everybody's, though a full score prints them once.

A rehearsal mark, a tempo or *da capo* stands over the top staff and holds for all;
dynamics, *pizz.* and expression belong to the part that carries them. The lists of
words are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml.etree import _Element

from companion.score.direction_words import JUMP_WORDS, SECTION_WORD, begins_with_tempo
from companion.score.readers.musicxml.text import tidy

REHEARSAL, METRONOME, WORDS, TEMPO = "rehearsal", "metronome", "tempo words", "tempo"
SIGNS = ("segno", "coda", "fine", "tocoda", "dacapo", "dalsegno", "forward-repeat")
TEMPOS = (METRONOME, WORDS, TEMPO)

_LETTERS = 3
"""A rehearsal mark is `A`, `AA` or `120`."""
_FOR_ONE_PLAYER = re.compile(
    r"\b(sol[io]|tutti|pizz\w*|arco|div\w*|unis\w*|con sord\w*|senza sord\w*|sord\w*|mute\w*"
    r"|sul\w*|col legno|open|stopped|trem\w*|vib\w*|espr\w*|dolce|cant\w*|marc\w*|legato|ped\w*"
    r"|simile|segue|cresc\w*|dim\w*|decresc\w*)\b",
    re.I,
)


def kinds_in(element: _Element, *, is_top: bool, is_with_tempo: bool = False) -> frozenset[str]:
    """What a <direction> or <sound> says that concerns everybody.

    Words count as a tempo where a metronome mark or `sound tempo` stands in the same
    direction; and in the topmost part, above the staff, where they begin with a known tempo
    word or name a section, or are a heading: capitalised, no instruction to a single player,
    and either bold or standing with a tempo mark (`is_with_tempo`).
    """
    found = {kind for printed in element.iterchildren("direction-type") for kind in _tags(printed)}
    found |= _sounds(element)
    words = words_of(element)
    found |= {kind for pattern, kind in JUMP_WORDS if pattern.search(words)}
    if words and not found & {REHEARSAL, *SIGNS}:
        above = element.get("placement") != "below"
        is_heading = (
            begins_with_tempo(words)
            or SECTION_WORD.match(words)
            or (_is_title(words) and (is_with_tempo or _is_bold(element)))
        )
        if found & {METRONOME, TEMPO} or (is_top and above and is_heading):
            found.add(WORDS)
    return frozenset(found)


def kinds_printed(printed: _Element, all_kinds: frozenset[str]) -> frozenset[str]:
    """Which of a direction's kinds one of its <direction-type> children prints."""
    found = set(_tags(printed))
    if printed.find("words") is not None and REHEARSAL not in found:
        jumps = {kind for _, kind in JUMP_WORDS} & all_kinds
        found |= jumps or ({WORDS} & all_kinds)
    return frozenset(found)


def words_of(element: _Element) -> str:
    """All words of a direction as one line."""
    return tidy(" ".join(words.text or "" for words in element.iterfind("direction-type/words")))


def _tags(printed: _Element) -> Iterator[str]:
    for child in printed:
        if child.tag in (REHEARSAL, METRONOME, "segno", "coda"):
            yield child.tag
        elif child.tag == "words" and _is_boxed_letter(child):
            yield REHEARSAL


def _is_boxed_letter(words: _Element) -> bool:
    """Whether words are a rehearsal mark in all but name: a letter or number in a frame."""
    text = tidy(words.text)
    return words.get("enclosure", "none") != "none" and text.isalnum() and len(text) <= _LETTERS


def _sounds(element: _Element) -> set[str]:
    """What the <sound> in a direction, or standing alone, does for everybody."""
    sound = element if element.tag == "sound" else element.find("sound")
    if sound is None:
        return set()
    return {
        str(name)
        for name, value in sound.attrib.items()
        if name in (TEMPO, *SIGNS) and value != "no"
    }


def _is_title(words: str) -> bool:
    return words[:1].isupper() and not _FOR_ONE_PLAYER.search(words)


def _is_bold(element: _Element) -> bool:
    first = element.find("direction-type/words")
    return first is not None and first.get("font-weight") == "bold"
