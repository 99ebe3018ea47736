"""The child process that engraves a part.

Run as `python -m companion.score.extraction.engraving_child` by `engraving.py`, never by
a person: MusicXML on standard input, a JSON list of SVG pages on standard output. The
engraver leaves out everything printed over a multi-bar rest when it reads MusicXML, so
such rests are put in afterwards, in its own format.
"""

from __future__ import annotations

import json
import sys

import verovio
from lxml import etree
from lxml.etree import _Element

_MEI = "{http://www.music-encoding.org/ns/mei}"
_OPTIONS = {
    "pageWidth": 2100,
    "pageHeight": 2970,
    "scale": 40,
    "footer": "none",
    "breaks": "auto",
    "svgViewBox": True,
}
"""A4 in tenths of a millimetre."""


def main() -> int:
    """Engrave standard input; the exit status."""
    verovio.enableLog(verovio.LOG_OFF)
    pages = engraved(sys.stdin.buffer.read())
    json.dump(pages, sys.stdout)
    return 0 if pages else 1


def engraved(musicxml: bytes) -> list[str]:
    """SVG pages; none where the engraver cannot read the part."""
    root = etree.fromstring(musicxml)
    rests = _without_long_rests(root)
    engraver = verovio.toolkit()
    engraver.setOptions(_OPTIONS)
    if not engraver.loadData(etree.tostring(root, encoding="unicode")):
        return []
    if rests:
        engraver.loadData(_with_long_rests(engraver.getMEI(), rests))
    return [engraver.renderToSVG(page) for page in range(1, engraver.getPageCount() + 1)]


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


def _with_long_rests(mei: str, rests: dict[int, int]) -> str:
    """Put them back: one bar with the rest and all that is printed over it, the others gone."""
    root = etree.fromstring(mei.encode())
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
    return etree.tostring(root, encoding="unicode")


if __name__ == "__main__":
    sys.exit(main())
