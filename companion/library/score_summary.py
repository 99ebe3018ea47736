"""What a library keeps of one file: opened, laid on its clock, looked through, let go.

Whatever is wrong with a file ends as a sentence in its entry. The player's own settings for
a score are left out, so that an index says the same to everybody who reads it.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from math import gcd
from pathlib import Path

from companion.errors import CompanionError
from companion.findings.conflicts import Conflict
from companion.library.folder_walk import FoundFile
from companion.library.indexed_score import HardPassage, IndexedScore, MixedBars, shown_text
from companion.library.time_limit import Interrupted, TimeLimit
from companion.score import cache
from companion.score.bar_numbers import span_name
from companion.score.clock import Clock
from companion.score.readers.file_contents import MOST_BYTES
from companion.score.readers.opening import read_score
from companion.session.open_score import Choices, OpenScore, laid_with_choices

_QUICK = frozenset({".musicxml", ".mxl", ".xml"})
"""Read afresh sooner than their copy in the cache would be worth its place on the disk."""


def read_entry(
    folder: Path, found: FoundFile, cache_folder: Path, watch: TimeLimit
) -> IndexedScore | None:
    """The entry of one file of a library; None if reading was stopped."""
    path = folder / os.fsdecode(found.where)
    keeps = None if path.suffix.casefold() in _QUICK else cache_folder
    digest = ""
    watch.begin()
    try:
        digest = digest_of(path)
        opened = read_score(path, keeps, cancelled=watch.is_over)
        return _entry(found, laid_with_choices(opened, Choices()))
    except (CompanionError, Interrupted) as problem:
        if watch.is_late:
            return unread(found, digest, f"reading it took over {watch.limit:g} seconds")
        if isinstance(problem, Interrupted) or watch.is_stopped():
            return None
        return unread(found, digest, problem.what, _place_in(path, problem.where), problem.next)
    finally:
        watch.end()


def unread(
    found: FoundFile,
    digest: str,
    what: str,
    place: str = "",
    next: str = "Export it again as MusicXML.",  # noqa: A002  the word a player reads
) -> IndexedScore:
    """The entry of a file that could not be read. Without a digest it is tried again every
    time, otherwise only once the file changes."""
    told = shown_text(CompanionError(what, where=place, next=next).sentence())
    return IndexedScore(
        found.where,
        found.size,
        found.mtime,
        cache.READER_VERSION,
        digest,
        problem=told[:1].upper() + told[1:],
    )


def digest_of(path: Path) -> str:
    """What identifies a file's content; empty if its bytes cannot be read."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return ""
        return cache.digest(path.read_bytes())
    except OSError:
        return ""


def _entry(found: FoundFile, open_score: OpenScore) -> IndexedScore:
    score, conflicts = open_score.score, open_score.conflicts
    heard = [one for one in conflicts if not one.is_notated and not one.is_dotted]
    ratios = sorted({conflict.ratio for conflict in heard if not conflict.sides[0].groups})
    sounding = sum(conflict.basis == "rhythm" for conflict in conflicts)
    written = sum(conflict.basis in ("meter", "notated") for conflict in conflicts)
    return IndexedScore(
        found.where,
        found.size,
        found.mtime,
        cache.READER_VERSION,
        open_score.digest,
        shown_text(score.title) or shown_text(open_score.path.stem),
        shown_text(score.composer),
        tuple(shown_text(part.name) for part in score.parts),
        len(open_score.clock.bars),
        tuple(mixed_bars(open_score.clock)),
        written,
        sounding,
        tuple(f"{more}:{fewer}" for more, fewer in ratios),
        hardest(open_score),
    )


def mixed_bars(clock: Clock) -> Iterator[MixedBars]:
    """Each stretch in which parts carry different meters at once."""
    first = 0
    for bar in clock.bars:
        meters = (clock.meter_at(part, bar) for part in range(len(clock.places)))
        if len({meter.text for meter in meters if meter}) > 1:
            first = first or bar.number
        elif first:
            yield MixedBars(first, bar.number - 1, _printed(clock, first, bar.number - 1))
            first = 0
    if first:
        yield MixedBars(first, len(clock.bars), _printed(clock, first, len(clock.bars)))


def _printed(clock: Clock, first: int, last: int) -> str:
    return shown_text(span_name(clock, first, last))


def _place_in(path: Path, where: str) -> str:
    """Where in the file, without the file's name: the entry says that already."""
    return where.removeprefix(str(path)).removeprefix(path.name).lstrip(", ")


# Which passages of a score are likely to need practice first.


_MOST = 3
"""Passages named for each score."""


def points(conflict: Conflict) -> int:
    """How hard a conflict is by rule of thumb; more is harder.

    - 3 for every stroke of the slower side that falls between strokes of the faster one:
      m + n − gcd(m, n) strokes are heard in all, max(m, n) of them the faster side's own.
      That makes 3 for 3:2, 6 for 4:3, 9 for 5:4.
    - 3 at bar level, where the sides meet only at barlines and share no beat to hold on to.
    - 1 to 5 for how long it has to be held: 1 bar, 2–3, 4–7, 8–15, 16 or more.
    - 1 for each part beyond two that has to agree, up to 3.
    """
    m, n = conflict.ratio
    between = m + n - gcd(m, n) - max(m, n)
    if conflict.sides[0].groups:
        more, fewer = conflict.sides
        between = len({*fewer.cuts} - {*more.cuts})
    bars = conflict.last - conflict.first + 1
    parts = {part for side in conflict.sides for part in side.parts}
    apart = 3 if conflict.level == "bar" else 0
    return 3 * between + apart + min(bars.bit_length(), 5) + max(0, min(len(parts) - 2, 3))


def hardest(open_score: OpenScore) -> tuple[HardPassage, ...]:
    """At most three passages that do not overlap, the hardest first, of equals the earlier."""
    names = {part.id: shown_text(part.name) for part in open_score.score.parts}
    return tuple(
        HardPassage(
            conflict.first,
            conflict.last,
            points(conflict),
            conflict.numbers,
            conflict.span,
            conflict.basis,
            tuple(
                (conflict.name_of(side), tuple(names[part] for part in side.parts))
                for side in conflict.sides
            ),
            _printed(open_score.clock, conflict.first, conflict.last),
        )
        for conflict in _apart(
            sorted(
                (one for one in open_score.conflicts if not one.is_notated),
                key=lambda one: (-points(one), one.first),
            )
        )
    )


def _apart(ordered: list[Conflict]) -> Iterator[Conflict]:
    taken: list[Conflict] = []
    for conflict in ordered:
        if all(conflict.last < other.first or other.last < conflict.first for other in taken):
            taken.append(conflict)
            yield conflict
        if len(taken) == _MOST:
            return
