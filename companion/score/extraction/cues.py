"""Cue notes before the player's entries."""

from __future__ import annotations

from collections import Counter

from companion.score.extraction.cue_choice import Cue, choose
from companion.score.extraction.cue_notes import free_voice, write_cue
from companion.score.extraction.entries import Cues, entries
from companion.score.extraction.finer_divisions import factor_for, refine, rounded_notes
from companion.score.extraction.sheet import Sheet


def add_cues(sheet: Sheet, cues: Cues) -> Counter[str]:
    """Write a cue before every entry after a long rest, where a line fits exactly.

    Gives how many were added.
    """
    if cues is Cues.NONE:
        return Counter()
    rounded = list(rounded_notes(sheet))
    chosen: list[Cue] = []
    factor = 1
    for entry in entries(sheet.clock, sheet.own, cues):
        for cue in choose(sheet.clock, sheet.own, entry):
            needed = factor_for(sheet, cue, factor, rounded)
            if needed is not None:
                chosen.append(cue)
                factor = needed
                break
    refine(sheet, factor, rounded)
    voice = free_voice(sheet.measures)
    for cue in chosen:
        write_cue(sheet, cue, voice)
    return +Counter({"cues": len(chosen)})
