"""How one part shows, inside its own bars, that it groups them as if they were of two.

The signs are strict, because a tie over the barline alone is a suspension and a quarter
on the second beat alone is a syncopation; neither makes three groups.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from companion.rhythm.stream import Sound, Stream


def signs(stream: Stream, start: int, end: int, groups: int) -> tuple[str, ...]:
    """Which of `accent`, `pitch`, `rhythm` show equal groups from `start` to `end` in a part."""
    strikes = stream.strikes
    first, last = bisect_left(strikes, start), bisect_left(strikes, end)
    struck = strikes[first:last]
    heads = range(start, end, (end - start) // groups)
    if len(struck) < groups or struck[0] != start or not set(heads).issubset(struck):
        return ()
    found: list[str] = []
    sounds = stream.melody[first:last]
    if any(sound.is_accented for sound in sounds) and _is_accented_so(sounds, heads):
        found.append("accent")
    if groups > 2 and len(struck) > groups and _changes_so(stream.melody, first, last, heads):
        found.append("pitch")
    if len(struck) == groups:
        if _are_groups(stream, first, last, start + (end - start) // 2):
            found.append("rhythm")
    elif groups > 2 and _is_one_rhythm(struck, heads):
        found.append("rhythm")
    return tuple(found)


def _is_accented_so(sounds: Sequence[Sound], heads: range) -> bool:
    """The head on the barline may do without: the barline is its accent in groups of three."""
    accented = {sound.at for sound in sounds if sound.is_accented}
    needed = set(heads[1:]) if len(heads) > 2 else set(heads)
    return needed <= accented <= set(heads)


def _are_groups(stream: Stream, first: int, last: int, middle: int) -> bool:
    """Single notes group the bars where the one before the middle is held over it, or all
    last equally long: two notes of a bar and one of the next with rests between do not."""
    sounds = stream.melody[first:last]
    if len({sound.length for sound in sounds}) == 1:
        return True
    return len(sounds) > 2 and any(sound.at < middle < sound.end for sound in sounds)


def _changes_so(melody: Sequence[Sound], first: int, last: int, heads: range) -> bool:
    """Equal notes, and the pitch another one exactly at the heads and after the last group."""
    gaps = {b.at - a.at for a, b in pairwise(melody[first:last])}
    if len(gaps | {heads.stop - melody[last - 1].at}) > 1:
        return False
    if last < len(melody) and melody[last].pitch == melody[last - 1].pitch:
        return False
    changes = {
        melody[i].at for i in range(first, last) if not i or melody[i].pitch != melody[i - 1].pitch
    }
    return changes == set(heads)


def _is_one_rhythm(struck: Sequence[int], heads: range) -> bool:
    """Whether every group has the same rhythm, and one that does not repeat within it."""
    rhythms = [
        tuple(at - head for at in struck if head <= at < head + heads.step) for head in heads
    ]
    if rhythms.count(rhythms[0]) < len(rhythms):
        return False
    lengths = [b - a for a, b in pairwise((*rhythms[0], heads.step))]
    count = len(lengths)
    return not any(
        count % size == 0 and lengths == lengths[:size] * (count // size)
        for size in range(1, count)
    )
