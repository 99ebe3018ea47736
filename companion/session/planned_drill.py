"""From an item of a plan to its bars in an opened score, and the tempo to try them at."""

from __future__ import annotations

from fractions import Fraction

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.pace import pace_of, tempo_at
from companion.practice.plan.day_plan import Item
from companion.rhythm.meter import note_name
from companion.score.passage import Passage, passage
from companion.session.drill import Drill, open_drill
from companion.session.open_score import OpenScore
from companion.session.setting_changes import at_tempo


def passage_of_item(open_score: OpenScore, item: Item) -> Passage:
    """The bars of an item in the score it is about. Raises CompanionError."""
    bars = item.bars
    ids = [part.id for part in open_score.score.parts]
    if bars is None or bars.score_digest != open_score.digest or bars.part_id not in ids:
        raise CompanionError("this passage is not in this score", where=str(open_score.path))
    return passage(open_score.clock, ids.index(bars.part_id), bars.first, bars.last)


def tempo_of_item(chosen: Passage, item: Item) -> Fraction | None:
    """Felt beats a minute the plan asks for, counted in the passage's own beat; None for none."""
    if not item.tempo:
        return None
    pace = pace_of(Fraction(item.tempo), item.beat)
    return tempo_at(pace, note_name(chosen.beat))


def drill_at(open_score: OpenScore, chosen: Passage, folders: Folders, bpm: Fraction) -> Drill:
    """A drill that begins at the tempo of the plan. May be called in any thread."""
    drill = open_drill(open_score, chosen, folders)
    drill.request(at_tempo(drill.setting, bpm))
    return drill
