"""A recorded take, heard and judged: from what a player asks to the facts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.plan.plan import ClickPlan
from companion.score.passage import Passage

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement
    from companion.listening.take import Take


@dataclass(frozen=True, slots=True)
class JudgedTake:
    """A take and what it was of."""

    passage: Passage
    click: ClickPlan
    judged: Judgement


def judge_take(
    take: Path | Take,
    passage: Passage,
    click: ClickPlan,
    *,
    times: int | None = None,
    is_click_heard: bool = True,
) -> JudgedTake:
    """Hear a take, read from its file if it is one, and judge it.

    `times` is how often the passage was played, by default as often as the click has it;
    `is_click_heard` is whether the click sounded meanwhile, so that it has to be taken out.
    Raises CompanionError if the take cannot be heard or is of something else.
    """
    from companion.listening.due_times import due_in
    from companion.listening.hearing import hear
    from companion.listening.judgement import judgement
    from companion.listening.take import read_take

    due = due_in(passage, click, times)
    recorded = read_take(take) if isinstance(take, Path) else take
    heard = hear(recorded, due.notes, click if is_click_heard else None)
    return JudgedTake(passage, click, judgement(heard, due))
