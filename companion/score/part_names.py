"""The many names of one string part: cello and Violoncello, violin 2 and Violino secondo.

A player says cello; the page has the word of its publisher's language.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_INSTRUMENTS = {
    "violin": "violin violins violine violinen geige violino violini violon violons violín "
    "violines vl vln vn vni vno fiddle",
    "viola": "viola violas bratsche bratschen altgeige vla va br",
    "cello": "cello cellos violoncello violoncellos violoncelli violoncell violoncelle "
    "violoncelles violoncelo violoncelos violonchelo violonchelos chelo chelos vc vcl vlc vcelle",
    "bass": "doublebass doublebasses contrabass contrabasses contrabasso contrabbasso contrabassi "
    "kontrabass kontrabässe contrebasse contrebasses contrabajo contrabajos db cb kb",
}
_FAMILY = {name: family for family, names in _INSTRUMENTS.items() for name in names.split()}
_NUMBERS = {
    word: number
    for number, words in enumerate(
        (
            "1 i first 1st primo prima 1er erste premier",
            "2 ii second 2nd secondo seconda 2e zweite deuxième",
            "3 iii third 3rd terzo terza 3e dritte troisième",
            "4 iv fourth 4th quarto quarta 4e vierte quatrième",
        ),
        1,
    )
    for word in words.split()
}
_WORD = re.compile(r"\d+(?:st|nd|rd|th|er|e)?(?![^\W\d_])|[^\W\d_]+|\d+")


def named_alike(names: Sequence[str], wanted: str) -> list[int]:
    """Indices of the parts, by their printed names, that a name in other words can mean.

    Where a page numbers none of several equal instruments, their order does. Abbreviations
    and languages: common practice, no source.
    """
    asked = _heard(wanted)
    if asked is None:
        return []
    family, number = asked
    alike = [
        (index, heard[1])
        for index, name in enumerate(names)
        if (heard := _heard(name)) is not None and heard[0] == family
    ]
    if number and all(own is None for _, own in alike):
        alike = [(index, place) for place, (index, _) in enumerate(alike, 1)]
    return [index for index, own in alike if number in (None, own)]


def distinct_names(names: Sequence[str]) -> list[str]:
    """Each part's name to choose it by: as printed, or with its place in the score if another
    is called the same: `Violin (1)`, `Violin (2)`."""
    return [
        name if name and names.count(name) == 1 else f"{name} ({place})".lstrip()
        for place, name in enumerate(names, 1)
    ]


def _heard(name: str) -> tuple[str, int | None] | None:
    """(instrument, number in its section); None for what is not just that."""
    words = _WORD.findall(name.casefold())
    numbers = [_NUMBERS[word] for word in words if word in _NUMBERS]
    instrument = _FAMILY.get("".join(word for word in words if word not in _NUMBERS))
    if instrument is None or len(numbers) > 1:
        return None
    return instrument, numbers[0] if numbers else None
