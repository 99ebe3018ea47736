"""An open score: laid on its clock, its conflicts found, the player's choices applied."""

from __future__ import annotations

from collections.abc import Mapping
from os.path import exists
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.findings.conflicts import Conflict, conflicts_of
from companion.findings.periods import Period, periods_of
from companion.rhythm.tempo_relation import Same
from companion.score.bar_numbers import find_part
from companion.score.cache import digest, kept_or_found, place_of
from companion.score.clock import Assumption, Clock
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.playing.order import PlayingOrder, playing_order, unfolded
from companion.score.readers.opening import Cancelled, Opened, Opening, Progress


class OpenScore(Struct, frozen=True):
    """Everything a face needs to show one score to one player."""

    score: Score
    clock: Clock
    conflicts: tuple[Conflict, ...]
    digest: str
    """Identifies the source's content."""
    path: Path
    choices: Choices
    order: PlayingOrder
    kept_periods: Path | None = None
    """Where its periods are kept, once they were looked for."""

    @property
    def my_part(self) -> int | None:
        """Index of the part that is mine; None before one was chosen."""
        ids = [part.id for part in self.score.parts]
        return ids.index(self.choices.part) if self.choices.part in ids else None

    @property
    def knows_periods(self) -> bool:
        """Whether they were looked for before, and are at hand."""
        return self.kept_periods is not None and exists(self.kept_periods)

    @property
    def periods(self) -> tuple[Period, ...]:
        """What pulls against the meter in time, in order of bars; looked for when first asked."""
        return periods_of(self.clock, self.conflicts, self.kept_periods)


def open_for_practice(
    path: Path,
    folders: Folders,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    is_unfolded: bool = False,
) -> OpenScore:
    """Open a score for practice, its repeats written out where asked.

    Raises CompanionError if the score cannot be read.
    """
    opening = Opening(path, folders.cache, progress=progress, cancelled=cancelled)
    return set_up(opening, folders, is_unfolded=is_unfolded)


def set_up(opening: Opening, folders: Folders, *, is_unfolded: bool = False) -> OpenScore:
    """The open score of a file that is being read; as `open_for_practice`."""
    opened = opening.opened()
    choices = choices_for(folders, opened.digest)
    if is_unfolded:
        order = playing_order(opened.score)
        opened = opened._replace(score=unfolded(opened.score, order), cache_folder=None)
        # What was chosen for a bar of the page holds each time it is played.
        relations = {
            at: choices.relations[bar]
            for at, bar in enumerate(order.bars, 1)
            if bar in choices.relations
        }
        return laid_with_choices(opened, replace(choices, relations=relations), order.in_it())
    return laid_with_choices(opened, choices)


def laid_with_choices(
    opened: Opened, choices: Choices, unfolding: tuple[Assumption, ...] = ()
) -> OpenScore:
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
    places = _places_of_findings(opened, choices)
    conflicts = kept_or_found(places[0], tuple[Conflict, ...], lambda: conflicts_of(clock))
    facts = (score, clock, conflicts, opened.digest, opened.path, choices, order)
    return OpenScore(*facts, kept_periods=places[1])


def _places_of_findings(opened: Opened, choices: Choices) -> tuple[Path | None, Path | None]:
    """Where conflicts and periods of a score are kept, as it is laid by these choices."""
    if opened.cache_folder is None:
        return None, None
    chosen = "".join(f" {bar} {same.value}" for bar, same in sorted(choices.relations.items()))
    key = digest(f"{opened.digest}{chosen}".encode()) if chosen else opened.digest
    folder = opened.cache_folder
    return place_of(folder, key, "conflicts"), place_of(folder, key, "periods")


# What a player chose for one score: the part that is mine, and tempo relations.


class Choices(Struct, frozen=True):
    """A player's settings for one score."""

    part: str | None = None
    """Id of the part that is mine; None before one was chosen."""
    relations: Mapping[int, Same] = field(default_factory=dict)
    """Tempo relations by the ordinal bar they begin at, overruling marks and custom."""


def choices_for(folders: Folders, digest: str) -> Choices:
    """What was chosen for a score; nothing yet if the file is missing or damaged."""
    return kept_json(_place(folders, digest), Choices) or Choices()


def keep_choices(folders: Folders, digest: str, choices: Choices) -> None:
    """Keep what was chosen. Raises CompanionError if the data folder cannot be written to."""
    keep_json(_place(folders, digest), choices)


def _place(folders: Folders, digest: str) -> Path:
    return folders.data / "scores" / f"{digest}.json"


# What a player chooses for an open score: which part is mine, what stays at a change of meter.


class ChoiceMade(Struct, frozen=True):
    """An open score after the player's choice, and whether the choice was kept."""

    open_score: OpenScore
    problem: CompanionError | None = None
    """Why the choice will be forgotten when the score is closed; None if it was kept."""


def open_with_choices(opened: Opened, folders: Folders) -> OpenScore:
    """An opened score by what was chosen for it before.

    Raises CompanionError if there are no bars to lay.
    """
    return laid_with_choices(opened, choices_for(folders, opened.digest))


def choose_part(open_score: OpenScore, folders: Folders, part: int) -> ChoiceMade:
    """Make the part of an index, from 0, mine."""
    choices = replace(open_score.choices, part=open_score.score.parts[part].id)
    problem = _kept(open_score, folders, choices)
    return ChoiceMade(replace(open_score, choices=choices), problem)


def part_meant(open_score: OpenScore, named: str | None) -> int:
    """Index of the part a player names; without a name the one that was chosen as theirs.

    Raises RequestError if there is no such part, or none is named and none was chosen.
    """
    chosen = named or open_score.choices.part
    if not chosen:
        raise RequestError(
            "no part is named, and none was chosen for this score",
            where=open_score.score.title,
            next="Add --part, or choose yours once: companion settle SCORE --part …",
        )
    return find_part(open_score.score, chosen)


def choose_relation(
    open_score: OpenScore, folders: Folders, bar: int, same: Same | None
) -> ChoiceMade:
    """Say what stays at the change of meter in a bar; None leaves it to the page and custom."""
    relations = {
        number: kept for number, kept in open_score.choices.relations.items() if number != bar
    }
    if same is not None:
        relations[bar] = same
    choices = replace(open_score.choices, relations=relations)
    problem = _kept(open_score, folders, choices)
    opened = Opened(open_score.score, open_score.digest, open_score.path, folders.cache)
    return ChoiceMade(laid_with_choices(opened, choices), problem)


def relations_before(open_score: OpenScore, number: int) -> tuple[Assumption, ...]:
    """What was assumed at the last change of meter up to a bar, for each group of parts."""
    told = [
        assumption
        for assumption in open_score.clock.assumptions
        if assumption.what == "tempo relation" and assumption.bar <= number
    ]
    return tuple(assumption for assumption in told if assumption.bar == told[-1].bar)


def next_relation(open_score: OpenScore, bar: int) -> Same | None:
    """The setting that follows the player's present one; None leaves it to page and custom.

    A setting by which the score would lie as page and custom have it is left out.
    """
    rest = {number: kept for number, kept in open_score.choices.relations.items() if number != bar}
    usual = lay(open_score.score, rest).places
    changing = (same for same in Same if lay(open_score.score, {**rest, bar: same}).places != usual)
    order = (None, *changing)
    now = open_score.choices.relations.get(bar)
    return order[(order.index(now) + 1) % len(order)] if now in order else None


def _kept(open_score: OpenScore, folders: Folders, choices: Choices) -> CompanionError | None:
    try:
        keep_choices(folders, open_score.digest, choices)
    except CompanionError as problem:
        return problem
    return None
