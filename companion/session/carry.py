"""A corrected edition in the place of an earlier one: passages go where their music went.

Parts are found again by their name, else by their id, else by what they play; bars by what
the part plays in them. The log itself is left as it is: only which bar is which is kept,
and taking that back puts every passage where it was.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from msgspec.structs import replace

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.editions import editions, forget_edition, keep_edition, where_now
from companion.journal.log import Log
from companion.practice.attempt import Bars, now
from companion.practice.edition import LEAST_SHARE, Edition, PartCarry, carried, matched
from companion.score.bar_numbers import bar_name, span_name
from companion.score.cache import digest
from companion.score.clock import Clock
from companion.score.model import TIE_STOPS
from companion.score.readers.file_contents import contents
from companion.score.texture import sounding_notes
from companion.session.open_score import OpenScore


@dataclass(frozen=True, slots=True)
class PassageMatch:
    """One passage of the log or a goal, and where it went."""

    bars: Bars
    """In the earlier edition."""
    label: str
    """As printed there."""
    to: Bars | None
    """In the later one; None if it cannot be told."""
    to_label: str
    """As printed there; empty if it cannot be told."""
    changed: tuple[str, ...]
    """Bars, as printed in the earlier edition, that are not the same in the later one."""


@dataclass(frozen=True, slots=True)
class Carry:
    """What became of an earlier edition."""

    edition: Edition
    passages: tuple[PassageMatch, ...]
    """Every passage that was tried or has a goal."""
    lost_parts: tuple[str, ...]
    """Names of parts that are not in the later edition."""
    same_bars: dict[str, tuple[int, int]]
    """For each part of the earlier edition that was found, by name: bars found, bars in all."""
    bars_found: tuple[int, int]
    """Of every part that has any: bars found, bars in all."""

    @property
    def is_little(self) -> bool:
        """Whether so few bars or passages are found that it may well be another piece."""
        same, bars = self.bars_found
        carried, passages = self.passages_found
        return LEAST_SHARE * same < bars or LEAST_SHARE * carried < passages

    @property
    def passages_found(self) -> tuple[int, int]:
        """Passages that are carried, passages in all."""
        return sum(match.to is not None for match in self.passages), len(self.passages)


def carry(folders: Folders, old: OpenScore, new: OpenScore) -> Carry:
    """Carry what the log knows of one score over to another, and keep how.

    Raises as `matched_editions`.
    """
    found = matched_editions(folders, old, new)
    keep_carry(folders, found)
    return found


def keep_carry(folders: Folders, found: Carry) -> None:
    """From now on passages stand where they were found. Raises CompanionError."""
    keep_edition(folders, replace(found.edition, at=now(), is_undone=False))


def undo_carry(folders: Folders, old: Path | None) -> Edition:
    """Take back what was carried from a file, or what was carried last; what it was.

    Raises RequestError if nothing was.
    """
    known = editions(folders)
    wanted = (
        digest(contents(old)) if old else max(known, key=lambda one: _said(known[one]), default="")
    )
    if wanted not in known:
        raise RequestError(
            "nothing was carried" + (" from this edition" if old else ""),
            where=str(old or ""),
            next="See what was: companion carry.",
        )
    edition = known[wanted]
    keep_edition(folders, replace(edition, at=now(), is_undone=True))
    return edition


def _said(edition: Edition) -> float:
    return edition.at.timestamp() if edition.at else 0.0


def matched_editions(folders: Folders, old: OpenScore, new: OpenScore) -> Carry:
    """Where everything the log knows of one score is in another; nothing is kept.

    Raises RequestError if both are the same file, the earlier one was carried elsewhere, or
    it would lead round in a circle.
    """
    if old.digest == new.digest:
        raise RequestError(
            "both are the same score",
            where=str(new.path),
            next="Name the earlier edition first and the corrected one after it.",
        )
    edition = _edition(old, new)
    parts = edition.parts
    _refuse_other(folders, edition)
    _refuse_circles(folders, edition)
    passages = tuple(_match(bars, edition, old, new) for bars in _known(folders, old))
    names = {part.id: part.name for part in old.score.parts}
    written = {part.id for part in old.score.parts if part.bars}
    found = sum(sum(map(bool, part.places)) for id_, part in parts.items() if id_ in written)
    return Carry(
        edition,
        passages,
        tuple(name for id_, name in names.items() if id_ not in parts),
        {
            names[id_]: (sum(map(bool, part.places)), len(part.places))
            for id_, part in parts.items()
        },
        (found, len(written) * len(old.clock.bars)),
    )


def carry_correction(folders: Folders, old: OpenScore, new: OpenScore) -> None:
    """Keep which bar of an exercise's earlier score is which of the corrected one.

    Where both have as many bars, each is the bar of its number, whatever was corrected in
    it. If a correction goes back to an earlier score, that one is the latest again. Raises
    CompanionError if it cannot be kept.
    """
    edition = _edition(old, new)
    if len(old.clock.bars) == len(new.clock.bars):
        every = tuple(range(1, len(new.clock.bars) + 1))
        found = {old_id: replace(part, places=every) for old_id, part in edition.parts.items()}
        edition = replace(edition, parts=found)
    forget_edition(folders, new.digest)
    keep_edition(folders, edition)


def _edition(old: OpenScore, new: OpenScore) -> Edition:
    return Edition(
        old=old.digest,
        new=new.digest,
        title=new.score.title,
        path=str(new.path),
        names=tuple(bar_name(new.clock, bar) for bar in new.clock.bars),
        parts=dict(_parts(old, new)),
    )


def _parts(old: OpenScore, new: OpenScore) -> Iterator[tuple[str, PartCarry]]:
    theirs = [fingerprints(new.clock, part) for part in range(len(new.score.parts))]
    free = set(range(len(theirs)))
    for index, part in enumerate(old.score.parts):
        mine = fingerprints(old.clock, index)
        found = _same_part(old, index, new, free, mine, theirs)
        if found is not None:
            free.discard(found)
            other = new.score.parts[found]
            yield part.id, PartCarry(other.id, other.name, matched(mine, theirs[found]))


def _same_part(
    old: OpenScore,
    index: int,
    new: OpenScore,
    free: set[int],
    mine: Sequence[Hashable],
    theirs: Sequence[Sequence[Hashable]],
) -> int | None:
    """The part of the later edition that is this one; None if no free one is."""
    part = old.score.parts[index]
    name = part.name.casefold()
    named = [one for one in free if new.score.parts[one].name.casefold() == name]
    if len(named) == 1:
        return named[0]
    found = [one for one in named or free if new.score.parts[one].id == part.id]
    if found and _likeness(mine, theirs[found[0]]) * 2 >= len(mine):
        return found[0]
    best = max(sorted(free), key=lambda one: _likeness(mine, theirs[one]), default=None)
    return best if best is not None and _likeness(mine, theirs[best]) * 2 >= len(mine) else None


def _likeness(mine: Sequence[Hashable], theirs: Sequence[Hashable]) -> int:
    return sum(map(bool, matched(mine, theirs)))


def _refuse_other(folders: Folders, edition: Edition) -> None:
    """Raises RequestError if the earlier edition was carried to another one already."""
    before = editions(folders).get(edition.old)
    if before is not None and before.new != edition.new:
        raise RequestError(
            "this edition was carried to another one already",
            where=before.path,
            next="Carry from that one, or take it back first: companion carry --undo OLD.",
        )


def _refuse_circles(folders: Folders, edition: Edition) -> None:
    """Raises RequestError if the later edition was itself replaced by the earlier one."""
    known = editions(folders)
    digest = edition.new
    for _ in range(len(known) + 1):
        if digest == edition.old:
            raise RequestError(
                "the later score was itself replaced by the earlier one",
                next="Carry from the edition that is out of use to the one on your stand.",
            )
        digest = known[digest].new if digest in known else digest


def _known(folders: Folders, old: OpenScore) -> list[Bars]:
    """Every passage of the score, tried or with a goal, those of still earlier editions too."""
    known = editions(folders)
    known.pop(old.digest, None)
    with Log.read_only(folders.data) as log:
        tried = set(log.stamps()) | {one.bars for one in log.goals.current()}
    there = (where_now(bars, known) for bars in tried)
    return sorted({bars for bars in there if bars.score_digest == old.digest})


def _match(bars: Bars, edition: Edition, old: OpenScore, new: OpenScore) -> PassageMatch:
    label = span_name(old.clock, bars.first, min(bars.last, len(old.clock.bars)))
    part = edition.parts.get(bars.part_id)
    went = carried(bars.first, bars.last, part.places) if part else None
    if part is None or went is None or went.last > len(new.clock.bars):
        return PassageMatch(bars, label, None, "", ())
    to = Bars(edition.new, part.part, went.first, went.last)
    changed = tuple(bar_name(old.clock, old.clock.bars[number - 1]) for number in went.changed)
    return PassageMatch(bars, label, to, span_name(new.clock, to.first, to.last), changed)


# What a part plays in every bar of the score, as values that can be compared across files.


Played = tuple[tuple[Fraction, Fraction, int | None, bool], ...]
"""Onset and length in quarters, sounding pitch, and whether it is held over from before."""


def fingerprints(clock: Clock, part: int) -> tuple[Hashable, ...]:
    """One for each bar of the score, in order."""
    own = _played(clock, part)
    if all(own):
        return own
    others = [_played(clock, other) for other in range(len(clock.places)) if other != part]
    return tuple(
        played or ("rest", tuple(column[index] for column in others))
        for index, played in enumerate(own)
    )


def _played(clock: Clock, part: int) -> tuple[Played, ...]:
    return tuple(_bar(clock, part, number) for number in range(len(clock.bars)))


def _bar(clock: Clock, part: int, index: int) -> Played:
    """What the part plays in its own bar at the start of a bar of the score."""
    written, places = clock.score.parts[part], clock.places[part]
    if not places or (clock.barlines_coincide and index >= len(places)):
        return ()
    own = index if clock.barlines_coincide else clock.own_bar_at(part, clock.bars[index].start)
    ticks = clock.score.ticks
    found = [
        (
            Fraction(note.onset, ticks),
            Fraction(note.length, ticks),
            sounding_notes(note.pitch, written.semitones),
            bool(note.tie & TIE_STOPS),
        )
        for note in written.bars[own].notes
        if note.pitch and not note.is_cue
    ]
    return tuple(sorted(found, key=lambda note: (note[0], note[2] or 0, note[1], note[3])))
