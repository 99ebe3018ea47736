"""The child process that engraves a passage as pictures, one for each system.

Run as `python -m companion.part.engraving.passage_child` by `passage_picture.py`, never by a
person: an order as JSON on standard input, pictures and places as JSON on standard output.
A part whose written quarter lasts another time than the upper one's is put under tuplets that
are not printed, because the engraver lines notes up by their written lengths alone.
"""

from __future__ import annotations

import base64
import json
import re
import sys
from typing import Any

import resvg_py
import verovio
from lxml import etree
from lxml.etree import _Element

from companion.files.child_process import limit_child
from companion.part.engraving.engraving_child import without_times

_MEI = "{http://www.music-encoding.org/ns/mei}"
_ZOOM = 2
"""Pixels of a picture to one of the engraver's: the terminal makes it smaller, and smooth."""
_OPTIONS = {
    **{"pageHeight": 100, "adjustPageHeight": True, "breaks": "auto", "scale": 40},
    **{"header": "none", "footer": "none", "svgViewBox": True},
    **{f"pageMargin{side}": 20 for side in ("Left", "Right", "Top", "Bottom")},
    # Nearer to even time than pages usually are, because the clock is what is looked at.
    **{"spacingLinear": 0.2, "spacingNonLinear": 0.75},
}
_UNITS = 100 / _OPTIONS["scale"]  # type: ignore[operator]
_MARGIN = re.compile(r"translate\(([\d.-]+)")


def main() -> int:
    """Engrave standard input; the exit status."""
    limit_child()
    verovio.enableLog(verovio.LOG_OFF)
    order = json.load(sys.stdin)
    engraver = verovio.toolkit()
    engraver.setOptions({**_OPTIONS, "pageWidth": int(order["width"] * _UNITS)})
    if not engraver.loadData(_joined([text.encode() for text in order["parts"]])):
        return 1
    if order["stretches"]:
        engraver.loadData(_stretched(engraver.getMEI(), order["stretches"]))
    starts, moments = _timing(engraver)
    systems = [
        _system(engraver.renderToSVG(page), starts, moments, order)
        for page in range(1, engraver.getPageCount() + 1)
    ]
    json.dump(systems, sys.stdout)
    return 0


def _joined(parts: list[bytes]) -> str:
    """Excerpts of several parts as one score, the first at the top; what all parts are told is
    told once, and metronome marks not at all, because their notes are in no font of ours."""
    root = etree.fromstring(parts[0])
    without_times(root)
    _drop(root, "metronome")
    listed = root.find("part-list")
    for number, text in enumerate(parts[1:], 1):
        other = etree.fromstring(text)
        _drop(other, "metronome", "rehearsal", "words")
        for tag, parent in (("part-list/score-part", listed), ("part", root)):
            found = other.find(tag)
            if found is not None and parent is not None:
                found.set("id", f"facing{number}")
                parent.append(found)
    return etree.tostring(root, encoding="unicode")


def _drop(root: _Element, *kinds: str) -> None:
    for kind in kinds:
        for sign in root.findall(f".//direction-type/{kind}"):
            direction = next(sign.iterancestors("direction"), None)
            measure = None if direction is None else direction.getparent()
            if direction is not None and measure is not None:
                measure.remove(direction)


def _stretched(mei: str, stretches: list[list[int]]) -> str:
    """The lower staves' bars under tuplets: `stretches` are for each bar how many upper quarters
    (over the second number) one of their quarters lasts."""
    root = etree.fromstring(mei.encode())
    upper = len(root.findall(f".//{_MEI}staffDef")) - len(stretches[0][2:])
    for measure, (time, quarters, *staves) in zip(
        root.iter(f"{_MEI}measure"), stretches, strict=False
    ):
        for staff in measure.iterfind(f"{_MEI}staff"):
            if time == quarters or int(staff.get("n", "1")) not in staves or not upper:
                continue
            for layer in staff.iterfind(f"{_MEI}layer"):
                if layer.find(f"{_MEI}mRest") is None:
                    _put_under(layer, time, quarters)
    return etree.tostring(root, encoding="unicode")


def _put_under(layer: _Element, time: int, quarters: int) -> None:
    under = etree.Element(f"{_MEI}tuplet", {"num": str(quarters), "numbase": str(time)})
    under.set("num.visible", "false")
    under.set("bracket.visible", "false")
    under.extend(list(layer))
    layer.append(under)


def _timing(engraver: verovio.toolkit) -> tuple[dict[str, int], dict[str, tuple[int, float]]]:
    """Measure → its place from 0; note → its measure and the quarters after its barline."""
    told: Any = engraver.renderToTimemap({"includeMeasures": True})
    starts: dict[str, int] = {}
    moments: dict[str, tuple[int, float]] = {}
    begin = 0.0
    for entry in json.loads(told) if isinstance(told, str) else told:
        if "measureOn" in entry:
            starts.setdefault(entry["measureOn"], len(starts))
            begin = entry["qstamp"]
        for note in entry.get("on", ()):
            moments[note] = (len(starts) - 1, entry["qstamp"] - begin)
    return starts, moments


def _system(
    svg: str, starts: dict[str, int], moments: dict[str, tuple[int, float]], order: dict[str, Any]
) -> dict[str, Any]:
    page = etree.fromstring(svg.encode())
    inner = page.find("{*}svg")
    wide = float((page if inner is None else inner).get("viewBox", "0 0 1 1").split()[2])
    margin = page.find('.//{*}g[@class="page-margin"]')
    left = _number(margin.get("transform", "")) if margin is not None else 0.0
    bars = [
        (starts[bar.get("id", "")], (left + _line_start(bar)) / wide)
        for bar in page.iterfind('.//{*}g[@class="measure"]')
        if bar.get("id") in starts
    ]
    notes = [
        (*moments[note.get("id", "")], (left + x) / wide)
        for note in page.iterfind('.//{*}g[@class="note"]')
        if note.get("id") in moments and (x := _head(note)) is not None
    ]
    coloured = svg.replace('color="black"', f'color="{order["ink"]}"', 1)
    coloured = coloured.replace("Times, serif", "Liberation Serif")
    picture = resvg_py.svg_to_bytes(
        svg_string=coloured.replace("currentColor", order["ink"]),
        style_sheet=f"svg {{ fill: {order['ink']} }}",
        background=order["paper"],
        zoom=_ZOOM,
        skip_system_fonts=True,
        font_dirs=[order["fonts"]],
    )
    return {
        "picture": base64.b64encode(bytes(picture)).decode(),
        "bars": bars,
        "notes": notes,
    }


def _number(transform: str) -> float:
    found = _MARGIN.search(transform)
    return float(found[1]) if found else 0.0


def _line_start(measure: _Element) -> float:
    line = measure.find('{*}g[@class="staff"]/{*}path')
    return float(re.findall(r"[\d.-]+", line.get("d", "0"))[0]) if line is not None else 0.0


def _head(note: _Element) -> float | None:
    use = note.find(".//{*}use")
    return None if use is None else _number(use.get("transform", ""))


if __name__ == "__main__":
    sys.exit(main())
