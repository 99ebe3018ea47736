"""Taps against a sounding click: which due note each is, and how late this keyboard is.

The click's own time is known, so a tap is compared with it directly and nothing has to be
found out first. What comes late in all taps alike (keyboard, sound card, the lead that people
keep: 20 to 80 ms, Repp, Psychon. Bull. Rev. 12, 2005) is measured by tapping plain beats, and
taken off.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median, pstdev

from companion.listening.due_notes import OFF_THE_BEAT, ON_THE_BEAT, DueNote
from companion.listening.due_times import DueBeat
from companion.listening.hearing import HeardNote, HeardTake, ListeningError

CALIBRATION_BEATS = 16
_ENOUGH = 12
"""Beats of them that must have been tapped."""
_SLIP = 0.03
"""Seconds by which a tap may always differ from the others before it counts as a slip."""
_FASTEST = 0.08
"""Seconds between two strokes of one key below which a finger did not strike twice: the fastest
taps in time take 100 to 125 ms (Repp, Adv. Cogn. Psychol. 2, 2006)."""
_HELD = 3
"""Strokes so fast, one after another, that show that a key is held down and repeats itself."""
_MISSED = 1.0
"""What a note without a tap, or a tap without a note, costs; a tap at the edge of `_reach` costs
as much as both."""
_FAR = 0.25
"""Seconds by which a tap may be off its note at most."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """How late the taps of one keyboard come with one sound device."""

    delay: float
    """Seconds after the click; negative is before."""
    spread: float
    """Seconds, standard deviation."""


@dataclass(frozen=True, slots=True)
class TappedTake:
    """What was heard in taps."""

    heard: HeardTake
    lead: float
    """Seconds by which they came after the click on the whole, the delay taken off."""


def calibration(beats: Sequence[float], taps: Sequence[float]) -> Calibration:
    """The delay of taps on plain beats; both in seconds of the click.

    Raises ListeningError if too few of the beats were tapped.
    """
    interval = min((after - before for before, after in pairwise(beats)), default=1.0)
    off = []
    for beat in beats:
        near = min(taps, key=lambda tap: abs(tap - beat), default=None)
        if near is not None and abs(near - beat) < interval / 2:
            off.append(near - beat)
    if len(off) < min(_ENOUGH, len(beats)):
        raise ListeningError(
            f"only {len(off)} of {len(beats)} beats were tapped",
            next="Tap every beat with one key.",
        )
    middle = median(off)
    scatter = 1.4826 * median(abs(one - middle) for one in off)
    usual = [one for one in off if abs(one - middle) <= max(_SLIP, 3 * scatter)]
    return Calibration(fmean(usual), pstdev(usual))


def without_repeats(taps: Sequence[float]) -> tuple[float, ...]:
    """The taps of one key less those that the keyboard made of a key held down."""
    found: list[float] = []
    burst: list[float] = []
    for tap in sorted(taps):
        if burst and tap - burst[-1] >= _FASTEST:
            found += burst[:1] if len(burst) < _HELD else []
            burst = []
        burst.append(tap)
    found += burst[:1] if len(burst) < _HELD else []
    return tuple(found)


def hear_taps(
    due: Sequence[DueNote], taps: Sequence[tuple[str, float]], delay: float = 0.0
) -> TappedTake:
    """Which note each tap is; `taps` are (side, seconds from the first time through), and sides
    that nobody tapped are left out. Raises ListeningError if no due side was tapped."""
    sides = {side for side, _ in taps}
    wanted = [note for note in due if note.side in sides]
    if not wanted:
        raise ListeningError("nothing was tapped", next="Start, and tap the notes of a side.")
    begun: dict[int, float] = {}
    added: list[float] = []
    for side in sides:
        numbers = [n for n, note in enumerate(wanted) if note.side == side]
        own = sorted(at - delay for name, at in taps if name == side)
        places = [float(wanted[n].seconds) for n in numbers]
        matched = dict(_matched(places, own))
        begun |= {numbers[k]: own[j] for k, j in matched.items()}
        added += [own[j] for j in range(len(own)) if j not in matched.values()]
    notes = tuple(HeardNote(note, begun.get(n), True) for n, note in enumerate(wanted))
    off = [at - float(wanted[n].seconds) for n, at in begun.items()]
    expected = tuple(float(note.seconds) for note in wanted)
    return TappedTake(HeardTake(notes, tuple(sorted(added)), expected), fmean(off or [0.0]))


def on_or_off_the_beat(note: DueNote, beats: Sequence[DueBeat]) -> str:
    """The side of a note among those of its own part."""
    at = float(note.seconds)
    begins = any(abs(beat.seconds - at) < 1e-6 for beat in beats)
    return ON_THE_BEAT if begins else OFF_THE_BEAT


def _matched(due: Sequence[float], taps: Sequence[float]) -> Iterator[tuple[int, int]]:
    """(number of a due moment, number of its tap), in order, with the least trouble in all."""
    # cost[j]: of the best way through the moments so far that has used or left the first j taps.
    cost = [_MISSED * j for j in range(len(taps) + 1)]
    came: list[dict[int, bool]] = []
    for k, place in enumerate(due):
        cost, chosen = _one_more(cost, taps, place, _reach(due, k))
        came.append(chosen)
    j = len(taps)
    for k in reversed(range(len(due))):
        while came[k].get(j) is False:
            j -= 1
        if came[k].get(j):
            j -= 1
            yield k, j


def _one_more(
    before: Sequence[float], taps: Sequence[float], place: float, reach: float
) -> tuple[list[float], dict[int, bool]]:
    """The costs with one moment more, and for each number of taps used whether the last of them
    is its tap (True) or was left (False); without either, nobody tapped it."""
    cost = [one + _MISSED for one in before]
    chosen: dict[int, bool] = {}
    for j in range(bisect_left(taps, place - reach), bisect_left(taps, place + reach)):
        made = before[j] + 2 * _MISSED * ((taps[j] - place) / reach) ** 2
        if made < cost[j + 1]:
            cost[j + 1], chosen[j + 1] = made, True
    for j in range(1, len(cost)):
        if cost[j - 1] + _MISSED < cost[j]:
            cost[j], chosen[j] = cost[j - 1] + _MISSED, False
    return cost, chosen


def _reach(due: Sequence[float], k: int) -> float:
    """Seconds around a moment within which a tap can be meant for it."""
    gaps = [abs(due[k] - due[n]) for n in (k - 1, k + 1) if 0 <= n < len(due)]
    return min([_FAR, *(0.75 * gap for gap in gaps if gap > 0)])
