"""A whole part bar by bar: what holds, what slips, what was never touched."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from companion.desk.folders import Folders
from companion.desk.stand import Stand
from companion.desk.standings import all_standings
from companion.desk.suggested import plays
from companion.journal.log import Log
from companion.practice.day import practice_day
from companion.practice.mastery_states import State
from companion.practice.progress import Share, heat, share_that_holds
from companion.practice.standing import Standing, state
from companion.score.address import bar_name


@dataclass(frozen=True, slots=True)
class PartProgress:
    """One part of one score."""

    title: str
    """The score's title."""
    part_name: str
    """The part's printed name."""
    names: tuple[str, ...]
    """How each bar is shown to a player."""
    heat: tuple[State | None, ...]
    """For each bar the state of the passage that covers it; None for none."""
    plays: tuple[bool, ...]
    """For each bar whether the part strikes a note in it."""
    share: Share
    """How much of it holds."""
    passages: tuple[tuple[Standing, State], ...]
    """Its passages in order, each with its state."""


def part_progress(folders: Folders, stand: Stand, part: int, at: datetime) -> PartProgress:
    """A part on the practice day that a moment belongs to."""
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
    own = stand.score.parts[part]
    found = [
        one
        for one in all_standings(folders)
        if (one.bars.score_digest, one.bars.part_id) == (stand.digest, own.id)
    ]
    heats = heat(found, len(stand.clock.bars), today)
    struck = tuple(plays(stand, part, bar.number) for bar in stand.clock.bars)
    return PartProgress(
        title=stand.score.title,
        part_name=own.name,
        names=tuple(bar_name(stand.clock, bar) for bar in stand.clock.bars),
        heat=tuple(heats),
        plays=struck,
        share=share_that_holds(heats, struck),
        passages=tuple((one, state(one, today)) for one in found),
    )


def share_told(share: Share) -> str:
    """How much of a part holds, in one sentence without its full stop."""
    return (
        f"{int(100 * share.holding)} % of {share.bars} bars hold: {share.alone} without the "
        f"click, {share.with_click} with it; {share.returns} more need a return"
    )
