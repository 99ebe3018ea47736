"""The child process that engraves a part.

Run as `python -m companion.part.engraving.engraving_child PAPER [FONTS]` by
`engrave.py`, never by a person: MusicXML on standard input; on standard output a JSON
list of SVG pages, or one PDF where a folder of fonts is named; for a column instead of
paper an object with its pages and the times of its notes. The engraver leaves out
everything printed over a multi-bar rest when it reads MusicXML, so such rests are put in
afterwards, in its own format.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import verovio
from lxml import etree
from lxml.etree import _Element

from companion.files.child_process import limit_child
from companion.part.engraving.engrave import COLUMN, COLUMN_SIZE, NOT_DRAWN, SIZES, Paper
from companion.part.engraving.page_text import broken, moved_in, overhanging

_MEI = "{http://www.music-encoding.org/ns/mei}"
_MARGIN = 100
"""Tenths of a millimetre; printers leave up to half of it blank (common practice, no source)."""
_OPTIONS = {
    "pageMarginLeft": _MARGIN,
    "pageMarginRight": _MARGIN,
    "pageMarginTop": _MARGIN,
    "pageMarginBottom": _MARGIN,
    "scale": 40,
    "footer": "none",
    "breaks": "auto",
    "svgViewBox": True,
}
_TITLE_SIZES = (("20pt", 30), ("14pt", 45))
"""For the title and the lines under it, which the engraver sets as small as words: the size
and how many letters of it leave the corners of the page to the part's and composer's names."""
_FINEST = 10_000
"""Parts of a quarter."""
_BREAKING = 3
"""How often words past the margin are broken; new lines can move others past it."""


def main(arguments: list[str]) -> int:
    """Engrave standard input; the exit status."""
    limit_child()
    verovio.enableLog(verovio.LOG_OFF)
    musicxml = sys.stdin.buffer.read()
    if arguments[0] == COLUMN:
        return _column(musicxml)
    paper = Paper(arguments[0])
    pages = engraved(verovio.toolkit(), musicxml, SIZES[paper])
    if not pages:
        return 1
    if len(arguments) == 1:
        json.dump(pages, sys.stdout)
        return 0
    return _print(pages, Path(arguments[1]), paper, _title(musicxml))


def _column(musicxml: bytes) -> int:
    engraver = verovio.toolkit()
    pages = engraved(engraver, musicxml, COLUMN_SIZE)
    json.dump({"pages": pages, "notes": list(_timed(engraver))}, sys.stdout)
    return 0 if pages else 1


def _timed(engraver: verovio.toolkit) -> Iterator[tuple[str, int, str, int, str]]:
    """(id, bar, quarters into it, bar, quarters into it) of where each note begins and ends."""
    bar, bar_begins = -1, Fraction(0)
    begun: dict[str, tuple[int, str]] = {}
    for moment in engraver.renderToTimemap({"includeMeasures": True}):
        # The engraver gives binary numbers; no note is finer than this.
        at = Fraction(moment["qstamp"]).limit_denominator(_FINEST)
        if "measureOn" in moment:
            bar, bar_begins = bar + 1, at
        place = bar, str(at - bar_begins)
        for id_ in moment.get("off", ()):
            if id_ in begun:
                yield (id_, *begun.pop(id_), *place)
        begun.update((id_, place) for id_ in moment.get("on", ()))


def engraved(engraver: verovio.toolkit, musicxml: bytes, size: tuple[int, int]) -> list[str]:
    """SVG pages of a width and height; none where the engraver cannot read the part."""
    root = etree.fromstring(musicxml)
    rests = _without_long_rests(root)
    without_times(root)
    for measure in root.iter("measure"):
        # Says nothing of a part alone, and the engraver takes no measure that has it.
        measure.attrib.pop("non-controlling", "")
    width, height = size
    engraver.setOptions({**_OPTIONS, "pageWidth": width, "pageHeight": height})
    if not engraver.loadData(etree.tostring(root, encoding="unicode")):
        return []
    engraver.loadData(_mended(engraver.getMEI(), rests))
    pages = _pages(engraver)
    for _ in range(_BREAKING):
        if not (shares := overhanging(pages)):
            return pages
        engraver.loadData(broken(engraver.getMEI(), shares))
        pages = _pages(engraver)
    return [moved_in(page) for page in pages]


def without_times(root: _Element) -> None:
    """Take away how often anything is repeated: the page looks the same, and the engraver would
    count to whatever stands there."""
    for repeat in root.iter("repeat"):
        repeat.attrib.pop("times", "")


def _pages(engraver: verovio.toolkit) -> list[str]:
    return [engraver.renderToSVG(page) for page in range(1, engraver.getPageCount() + 1)]


def _print(pages: list[str], fonts: Path, paper: Paper, title: str) -> int:
    from companion.part.engraving.pdf_pages import NotDrawn, printed

    try:
        sys.stdout.buffer.write(printed(pages, fonts, SIZES[paper], title))
    except (NotDrawn, ValueError):
        return NOT_DRAWN
    return 0


def _title(musicxml: bytes) -> str:
    """The name of the document: the work's and the part's."""
    root = etree.fromstring(musicxml)
    named = ("work/work-title", "movement-title", "part-list/score-part/part-name")
    return ", ".join(filter(None, ((root.findtext(path) or "").strip() for path in named)))


def _without_long_rests(root: _Element) -> dict[int, int]:
    """Take the multi-bar rests out: index of the first bar → number of bars."""
    rests: dict[int, int] = {}
    for bar, measure in enumerate(root.iter("measure")):
        for style in list(measure.iterfind("attributes/measure-style")):
            count = style.findtext("multiple-rest")
            parent = style.getparent()
            if count and parent is not None:
                rests[bar] = int(count)
                parent.remove(style)
    return rests


def _mended(mei: str, rests: dict[int, int]) -> str:
    """The engraver's document with the multi-bar rests and with titles a player can see."""
    root = etree.fromstring(mei.encode())
    _put_long_rests(root, rests)
    lines = [
        line for line in root.iterfind(".//{*}pgHead/{*}rend") if line.get("halign") == "center"
    ]
    for at, line in enumerate(lines):
        letters = len((line.text or "").strip())
        sizes = [size for size, most in _TITLE_SIZES[min(at, 1) :] if letters <= most]
        if sizes and line.get("fontsize") is None:
            line.set("fontsize", sizes[0])
    return etree.tostring(root, encoding="unicode")


def _put_long_rests(root: _Element, rests: dict[int, int]) -> None:
    """Put them back: one bar with the rest and all that is printed over it, the others gone."""
    measures = list(root.iter(f"{_MEI}measure"))
    for bar, count in rests.items():
        if bar + count > len(measures):
            continue
        for layer in measures[bar].iter(f"{_MEI}layer"):
            for child in list(layer):
                layer.remove(child)
            etree.SubElement(layer, f"{_MEI}multiRest", {"num": str(count)})
        closing = measures[bar + count - 1].get("right")
        if closing is not None:
            measures[bar].set("right", closing)
        for measure in measures[bar + 1 : bar + count]:
            parent = measure.getparent()
            if parent is not None:
                parent.remove(measure)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
