"""A day's plan in words, the same on the screen and in `companion today`."""

from __future__ import annotations

from fractions import Fraction

from companion.practice.plan.day_plan import Item
from companion.wording.phrases import bars_told, count_told


def item_told(item: Item) -> str:
    """What to do, and why, without its minutes: `Viola 13–20 · quarter = 66 · next rung: …`."""
    return " · ".join(filter(None, (where_told(item), why_told(item), item.title)))


def where_told(item: Item) -> str:
    """Which bars, and how fast: `Viola bars 13–20 · quarter = 66`; empty for what has no bars."""
    if item.bars is None:
        return ""
    bars = bars_told(item.bars.first, item.bars.last, item.label)
    where = f"{item.part_name or item.bars.part_id} {bars}"
    return " · ".join(filter(None, (where, _tempo(item))))


def why_told(item: Item) -> str:
    """`next rung: it held at quarter = 62`."""
    return f"{item.kind}: {item.why}"


def minutes_told(item: Item) -> str:
    """`3 min`."""
    return f"{item.minutes} min"


def planned_told(minutes: int) -> str:
    """`45 minutes`."""
    return count_told(minutes, "minute")


def _tempo(item: Item) -> str:
    if not item.tempo:
        return ""
    return f"{item.beat} = {round(float(Fraction(item.tempo)), 1):g}"
