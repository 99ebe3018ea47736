"""A <time> as the page writes it: `6/8`, `3+2/8`, `2/4+3/8`.

Cut and common time are only symbols for 2/2 and 4/4. The beats are plain text in
MusicXML, so everything is checked here; a meter that gets past this is one.
"""

from __future__ import annotations

from lxml.etree import _Element

from companion.errors import RequestError
from companion.rhythm.meter import parse
from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.text import staff_number, tidy


def read_times(bar: OpenBar, times: list[_Element]) -> None:
    """Put the <time> elements of one <attributes> in force: the top staff's, from here or
    from the next bar where this one has already begun."""
    by_staff = {staff_number(time.get("number")): _written(bar, time) for time in times}
    readable = {staff: meter for staff, meter in by_staff.items() if meter != ""}
    if not readable:
        return
    part = bar.part
    top = min(readable)
    meter = part.meter if top > 1 and part.has_time else readable[top]
    if any(other != meter for other in readable.values()):
        bar.slip("its staves are in different meters; the top staff's was taken")
    if bar.raw == 0:
        part.set_meter(meter)
    elif meter != part.meter:
        bar.slip(f"the meter {meter or 'free'} is written inside a bar; it holds from the next one")
        part.next_meter = (meter,)


def _written(bar: OpenBar, time: _Element) -> str | None:
    """The meter as text; None for music without meter; empty where it makes no sense."""
    pairs: list[str] = []
    beats = ""
    for child in time:
        if child.tag == "senza-misura":
            return None
        if child.tag == "interchangeable":
            bar.slip("a second, interchangeable meter was left out")
        elif child.tag == "beats":
            beats = "".join((child.text or "").split())
        elif child.tag == "beat-type":
            pairs.append(f"{beats}/{(child.text or '').strip()}")
    return _checked(bar, "+".join(pairs))


def _checked(bar: OpenBar, meter: str) -> str:
    """The meter, or nothing where it is none."""
    try:
        return parse(meter[:200]).text
    except RequestError:
        kept = bar.part.meter or "none"
        bar.slip(f"“{tidy(meter, 20)}” is no meter; the one before ({kept}) was kept")
        return ""
