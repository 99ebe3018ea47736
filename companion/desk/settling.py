"""What a player settles at the stand: which part is mine, what stays at a change of meter.

Every choice is on disk before the stand that shows it is handed back. Where the disk
refuses, the choice still holds for this session, and the refusal is handed back with it.
"""

from __future__ import annotations

from dataclasses import dataclass

from msgspec.structs import replace

from companion.desk.choices import Choices, choices_for, keep_choices
from companion.desk.folders import Folders
from companion.desk.stand import Stand, stand_with
from companion.errors import CompanionError
from companion.rhythm.relation import Same
from companion.score.clock import Assumption
from companion.score.laying import lay
from companion.score.opening import Opened


@dataclass(frozen=True, slots=True)
class Settled:
    """A stand by the player's choice, and what became of the choice."""

    stand: Stand
    """The score as it stands now."""
    trouble: CompanionError | None = None
    """Why the choice will be forgotten when the score is closed; None where it was kept."""


def stand_for(opened: Opened, folders: Folders) -> Stand:
    """An opened score by what was settled for it before.

    Raises CompanionError where there are no bars to lay.
    """
    return stand_with(opened, choices_for(folders, opened.digest))


def settle_part(stand: Stand, folders: Folders, part: int) -> Settled:
    """Make the part of an index, from 0, mine."""
    choices = replace(stand.choices, part=stand.score.parts[part].id)
    trouble = _kept(stand, folders, choices)
    return Settled(replace(stand, choices=choices), trouble)


def settle_relation(stand: Stand, folders: Folders, bar: int, same: Same | None) -> Settled:
    """Say what stays at the change of meter in a bar; None leaves it to the page and custom."""
    relations = {number: kept for number, kept in stand.choices.relations.items() if number != bar}
    if same is not None:
        relations[bar] = same
    choices = replace(stand.choices, relations=relations)
    trouble = _kept(stand, folders, choices)
    opened = Opened(stand.score, stand.digest, stand.path)
    return Settled(stand_with(opened, choices), trouble)


def relations_before(stand: Stand, number: int) -> tuple[Assumption, ...]:
    """What was assumed at the last change of meter up to a bar, for each group of parts."""
    told = [
        assumption
        for assumption in stand.clock.assumptions
        if assumption.what == "tempo relation" and assumption.bar <= number
    ]
    return tuple(assumption for assumption in told if assumption.bar == told[-1].bar)


def next_relation(stand: Stand, bar: int) -> Same | None:
    """The setting that follows the player's present one; None leaves it to page and custom.

    A setting by which the score would lie as page and custom have it is left out.
    """
    rest = {number: kept for number, kept in stand.choices.relations.items() if number != bar}
    usual = lay(stand.score, rest).places
    changing = (same for same in Same if lay(stand.score, {**rest, bar: same}).places != usual)
    order = (None, *changing)
    now = stand.choices.relations.get(bar)
    return order[(order.index(now) + 1) % len(order)] if now in order else None


def _kept(stand: Stand, folders: Folders, choices: Choices) -> CompanionError | None:
    try:
        keep_choices(folders, stand.digest, choices)
    except CompanionError as problem:
        return problem
    return None
