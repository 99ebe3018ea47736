"""A score on the stand: laid on its clock, its conflicts found, the player's choices applied."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from companion.desk.choices import Choices, choices_for
from companion.desk.folders import Folders
from companion.errors import CompanionError
from companion.rhythm.conflicts import Conflict
from companion.score.clock import Assumption, Clock
from companion.score.laying import lay
from companion.score.lines import conflicts_of
from companion.score.model import Score
from companion.score.opening import Cancelled, Opened, Opening, Progress
from companion.score.playing.order import PlayingOrder, playing_order, unfolded


class Stand(Struct, frozen=True):
    """Everything a face needs to show one score to one player."""

    score: Score
    """As written."""
    clock: Clock
    """On the shared clock."""
    conflicts: tuple[Conflict, ...]
    """Where parts pull, in order."""
    digest: str
    """Identifies the source's content."""
    path: Path
    """Where it was read from."""
    choices: Choices
    """What the player settled for this score."""
    order: PlayingOrder
    """The order in which its bars are played."""


def put_on_stand(
    path: Path,
    folders: Folders,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    is_unfolded: bool = False,
) -> Stand:
    """Open a score for practice, its repeats written out where asked.

    The player's tempo relations belong to bars of the page and do not follow into an
    unfolded score. Raises CompanionError where the score cannot be read.
    """
    opening = Opening(path, folders.cache, progress=progress, cancelled=cancelled)
    return set_up(opening, folders, is_unfolded=is_unfolded)


def set_up(opening: Opening, folders: Folders, *, is_unfolded: bool = False) -> Stand:
    """The stand for a score that is on its way in; as `put_on_stand`."""
    opened = opening.opened()
    choices = choices_for(folders, opened.digest)
    if is_unfolded:
        order = playing_order(opened.score)
        opened = opened._replace(score=unfolded(opened.score, order))
        return stand_with(opened, replace(choices, relations={}), order.in_it())
    return stand_with(opened, choices)


def stand_with(opened: Opened, choices: Choices, unfolding: tuple[Assumption, ...] = ()) -> Stand:
    """Lay an opened score by the player's choices. `unfolding` is what was assumed before,
    when its repeats were written out."""
    if not opened.score.parts or not any(part.bars for part in opened.score.parts):
        raise CompanionError(
            "this score has no parts with bars in it",
            where=str(opened.path),
            next="Export it again with its music.",
        )
    score = opened.score
    order = playing_order(score)
    clock = lay(score, choices.relations)
    told = (*clock.assumptions, *unfolding, *order.assumptions)
    clock = replace(clock, assumptions=tuple(sorted(told, key=lambda one: one.bar)))
    return Stand(score, clock, conflicts_of(clock), opened.digest, opened.path, choices, order)
