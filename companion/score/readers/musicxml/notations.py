"""Signs on a note, and the ties drawn from it.

They keep MusicXML's own words (`staccato`, `up-bow`, `trill-mark`), so that any
name in the schema may turn up without a table having to know it.
"""

from __future__ import annotations

from collections.abc import Iterable

from lxml.etree import _Element

from companion.score.model import TIE_STARTS, TIE_STOPS, Mark
from companion.score.readers.musicxml.open_bar import OpenBar
from companion.score.readers.musicxml.text import tidy, whole

_TIED = {"start": TIE_STARTS, "stop": TIE_STOPS, "continue": TIE_STARTS + TIE_STOPS}
_SLURS = {"start": "slur-start", "stop": "slur-stop", "continue": "slur-continue"}
_FAMILIES = frozenset({"articulations", "technical", "ornaments"})
_SIGNS = frozenset({"fermata", "arpeggiate", "non-arpeggiate"})
_LINES = frozenset({"glissando", "slide", "wavy-line"})
_NOT_SIGNS = frozenset({"accidental-mark"})


def read_notations(
    bar: OpenBar, of_note: Iterable[_Element], onset: int
) -> tuple[int, tuple[str, ...]]:
    """Ties drawn, and signs in order of the file, in all <notations> of a note; a dynamic
    on the note goes to the bar."""
    tie = 0
    marks: list[str] = []
    for notations in of_note:
        for child in notations:
            tag = child.tag
            if tag in _FAMILIES:
                family = _family(child)
                marks.extend(family)
                bar.is_abbreviated |= tag == "ornaments" and any(
                    mark.startswith("tremolo") for mark in family
                )
            elif tag == "tied":
                tie |= _TIED.get(child.get("type") or "", 0)
            elif tag == "slur":
                marks.append(_SLURS.get(child.get("type") or "", "slur"))
            elif tag in _SIGNS or tag in _LINES and _begins(child):
                marks.append(tag)
            elif tag == "dynamics":
                bar.marks.append(Mark(onset, "dynamic", dynamic(child)))
    return tie, tuple(marks)


def _family(element: _Element) -> list[str]:
    return [
        _tremolo(child) if child.tag == "tremolo" else child.tag
        for child in element
        if child.tag not in _NOT_SIGNS and (child.tag not in _LINES or _begins(child))
    ]


def _tremolo(sign: _Element) -> str:
    """A tremolo with what it says: `tremolo-2` on one note, `tremolo-start-3` between two,
    `tremolo-unmeasured`."""
    kind = sign.get("type") or "single"
    beams = whole(sign.text, 0, 8) or 3  # the schema's limits; no number means unmeasured
    if kind == "unmeasured":
        return "tremolo-unmeasured"
    return f"tremolo-{beams}" if kind == "single" else f"tremolo-{tidy(kind, 10)}-{beams}"


def _begins(line: _Element) -> bool:
    """Whether a line between notes begins here."""
    return line.get("type") == "start"


def dynamic(element: _Element) -> str:
    """A <dynamics> as one word: `mf`, `sfp`, or what `other-dynamics` says."""
    words = [child.text if child.tag == "other-dynamics" else child.tag for child in element]
    return tidy("".join(word or "" for word in words))
