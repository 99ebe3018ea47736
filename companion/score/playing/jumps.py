"""Da capo and dal segno: what is played again, and where the music goes from there.

Much of it is custom and not on the page (common practice, no source): a minuet ends at its
trio though no Fine is written; words that direct back are printed a bar before the section
ends; and where several movements share a file, a da capo goes back to the beginning of its
own. What was guessed is told.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct

from companion.score.playing.signs import JUMPS_BACK, GuessedSign, PlayingSigns

MOST_JUMPS = 200
"""More ways back than any page has; those after them are not followed."""


class Jump(Struct, frozen=True):
    """One way back, by index of bars."""

    leaves: int
    """After this bar the music goes back."""
    back: int
    """To this one."""
    ends: int | None
    """The last bar played again, where that is known; otherwise `leaves` once more."""
    coda: int | None = None
    """Where the music goes on after it; None for the bar after `leaves`."""


class _Stretch(NamedTuple):
    """Where a jump may look, by index of bars."""

    first: int
    """Where its movement begins."""
    start: int
    """Where the music went on after the last jump."""
    after: int
    """After the movement's last bar."""
    before: Jump | None
    """The last jump in it."""


def jumps(marked: PlayingSigns, guesses: list[GuessedSign]) -> list[Jump]:
    """All jumps in order. Adds what had to be guessed to `guesses`."""
    found: list[Jump] = []
    for first, after in marked.movements:
        start, before = first, None
        for at in range(first, after):
            if marked.bars[at].signs & JUMPS_BACK and len(found) < MOST_JUMPS:
                jump = _jump(marked, at, _Stretch(first, start, after, before), guesses)
                if jump is not None:
                    found.append(jump)
                    start, before = jump.leaves + 1, jump
    return found


def _jump(
    marked: PlayingSigns, at: int, within: _Stretch, guesses: list[GuessedSign]
) -> Jump | None:
    """The jump directed in one bar."""
    first, start, after, before = within
    leaves = _leaving(marked, at, after)
    if leaves > at:
        guesses.append(
            GuessedSign(leaves, "the section ends here, so the words before it hold from here")
        )
    if "dalsegno" in marked.bars[at].signs:
        segno = _last(marked, "segno", first, leaves)
        if segno is None:
            guesses.append(GuessedSign(at, "no segno stands before it, so the music goes on"))
            return None
        back = segno
    else:
        back = first
    to_coda, coda = _coda(marked, back, leaves, after)
    ends = to_coda if coda is not None else _end(marked, max(back, start), leaves, guesses)
    if ends is None and before is not None and _is_like(marked, before, leaves):
        guesses.append(GuessedSign(leaves, "it goes back as the da capo before it"))
        return Jump(leaves, before.back, before.ends)
    if coda is None and "dacapo" in marked.bars[at].signs and leaves + 1 < after:
        back = _own_beginning(marked, back, ends, guesses)
    if ends is None:
        guesses.append(GuessedSign(leaves, "no Fine is written: all is played again to here"))
    return Jump(leaves, back, ends, coda)


def _is_like(marked: PlayingSigns, before: Jump, leaves: int) -> bool:
    """Whether a jump without an end of its own means the same as the one before it: after a
    second trio the same minuet comes again."""
    return before.ends is not None and marked.bars[leaves].meter == marked.bars[before.back].meter


def _leaving(marked: PlayingSigns, at: int, after: int) -> int:
    """Words that direct back may stand a bar before their section ends."""
    following = at + 1
    if marked.ends_section(at, after) or not marked.ends_section(following, after):
        return at
    bar_signs = marked.bars[following]
    return at if bar_signs.signs or bar_signs.ending != marked.bars[at].ending else following


def _last(marked: PlayingSigns, kind: str, first: int, last: int) -> int | None:
    found = (at for at in range(last, first - 1, -1) if kind in marked.bars[at].signs)
    return next(found, None)


def _coda(
    marked: PlayingSigns, back: int, leaves: int, after: int
) -> tuple[int | None, int | None]:
    """Where the music played again is left for the coda, and where that begins."""
    every_bar = marked.bars
    codas = (
        at
        for at in range(leaves + 1, after)
        if "coda" in every_bar[at].signs or every_bar[at].section == "coda"
    )
    coda = next(codas, None)
    if coda is None:
        return None, None
    to_coda = _last(marked, "tocoda", back, leaves)
    if to_coda is None:
        to_coda = _last(marked, "coda", back, leaves)
    return (to_coda, coda) if to_coda is not None else (None, None)


def _end(marked: PlayingSigns, start: int, leaves: int, guesses: list[GuessedSign]) -> int | None:
    """The last bar of what is played again: a Fine, or the bar before the middle section."""
    is_elsewhere = not marked.bars[leaves].signs & JUMPS_BACK
    fine = _last(marked, "fine", start, leaves if is_elsewhere else leaves - 1)
    if fine is not None:
        return fine
    for at in range(leaves, start, -1):
        section = marked.bars[at].section
        if section and section != "coda" and marked.ends_section(at - 1, leaves + 1):
            told = f"no Fine is written: what is played again ends before the {section}"
            guesses.append(GuessedSign(at - 1, told))
            return at - 1
    return None


def _own_beginning(
    marked: PlayingSigns, first: int, ends: int | None, guesses: list[GuessedSign]
) -> int:
    """Where the movement of a da capo begins in a file in which more music follows it."""
    if ends is None:
        return first
    every_bar = marked.bars
    back = ends
    while back > first and every_bar[back - 1].meter == every_bar[ends].meter:
        back -= 1
    if back > first:
        told = "a da capo goes back to here, where the meter changes, as more movements follow"
        guesses.append(GuessedSign(back, told))
    return back
