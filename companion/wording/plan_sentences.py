"""A day's plan and what it is for, in words: the same on the screen and in every command."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from companion.click.plan.tempo_plan import Ladder
from companion.practice.goal import Goal, OccasionKind
from companion.practice.plan.day_plan import (
    Cause,
    DayPlan,
    DueLater,
    Item,
    PlanWarning,
    Reason,
    Unplanned,
)
from companion.rhythm.meter import note_name
from companion.wording.phrases import (
    ago_told,
    bpm_told,
    counted,
    day_told,
    hardness_told,
    pace_told,
    passage_told,
    tempo_told,
)


def item_told(item: Item, today: date) -> str:
    """What to do, and why, without its minutes: `Viola bars 13–20 · quarter = 66 · new: …`."""
    return " · ".join(filter(None, (where_told(item), why_told(item, today), item.title)))


def where_told(item: Item) -> str:
    """Which bars, and how fast: `Viola bars 13–20 · quarter = 66`, `… = 66 to 74` for a ladder;
    empty for what has no bars."""
    if item.bars is None:
        return ""
    where = passage_told(item.bars, item.part_name, item.label)
    if not item.tempo:
        return where
    ladder = f" to {bpm_told(Fraction(item.top))}" if item.top else ""
    return f"{where} · {tempo_told(item.beat, Fraction(item.tempo))}{ladder}"


def planned_tempo_told(beat: Fraction, tempo: Fraction | Ladder) -> str:
    """What the drill of a plan's item does; `beat` in quarters."""
    if isinstance(tempo, Ladder):
        first = tempo_told(note_name(beat), tempo.start)
        goal, step = bpm_told(tempo.goal), bpm_told(tempo.step)
        return f"Today's plan: {first} to {goal}, up by {step} each time it holds."
    return f"Today's plan: {tempo_told(note_name(beat), tempo)}. The drill begins there."


def why_told(item: Item, today: date) -> str:
    """`next tempo: quarter = 62 held on 3 May 2026; 9 days to go`."""
    return f"{item.kind}: {reason_told(item, today)}"


def reason_told(item: Item, today: date) -> str:
    """`quarter = 62 held on 3 May 2026; 9 days to go`."""
    if isinstance(item.why, str):
        return item.why
    pieces = [_cause(item.why, item.beat, today)]
    if item.planned_on and item.why.cause is not Cause.SECOND_VISIT:
        pieces.insert(0, f"not played on {day_told(date.fromisoformat(item.planned_on))}")
    if (left := item.why.to_concert) is not None:
        pieces.append(_to_come(left, item.why.occasion))
    return "; ".join(pieces)


def _to_come(left: int, occasion: OccasionKind) -> str:
    if occasion is OccasionKind.OTHER:
        return f"{counted(left, 'day')} to go" if left else "today is the day"
    return f"{counted(left, 'day')} to the {occasion}" if left else f"the {occasion} is today"


def _cause(why: Reason, beat: str, today: date) -> str:
    match why:
        case Reason(cause=Cause.SLIPPED | Cause.FAILED_ALONE as cause, day=date() as day):
            return f"{_PLAIN[cause]} on {day_told(day)}"
        case Reason(cause=Cause.HELD, day=date() as day, pace=(_, _) as pace):
            return f"{pace_told(pace, beat)} held on {day_told(day)}"
        case Reason(cause=Cause.TIME_LEFT, day=date() as day):
            return f"not due before {day_told(day)}, but there is time"
        case Reason(cause=Cause.DUE, day=date() as day):
            late = (today - day).days
            return f"due {ago_told(late)}" if late < 2 else f"due since {day_told(day)}"
        case Reason(cause=Cause.NOT_TRIED, pace=(_, _) as pace):
            hard = f"~{hardness_told(why.hardness)}; " if why.hardness else ""
            return f"{hard}begin slowly, the goal is {pace_told(pace, beat)}"
        case Reason(cause=Cause.ASSIGNED, pace=(_, _) as pace):
            due = f"due {'today' if why.day == today else day_told(why.day)}, " if why.day else ""
            return f"{due}the goal is {pace_told(pace, beat)}"
        case Reason(cause=Cause.AFTER_PLAYING):
            return f"after {counted(why.minutes, 'minute')} of playing"
    return _PLAIN.get(why.cause, why.cause.value)


_PLAIN = {
    Cause.SLIPPED: "it slipped",
    Cause.FAILED_ALONE: "without the click it did not hold",
    Cause.EASY_FIRST: "something easy and slow first",
    Cause.CONCERT: "once through without stopping",
    Cause.ROOM: "time is left: play something through, old or new",
    Cause.NOTHING_HELD: "nothing has held yet",
    Cause.SECOND_VISIT: "once more",
}


def warnings_told(plan: DayPlan) -> Iterator[str]:
    """What the player should know before beginning, a sentence each."""
    for warning in plan.warnings:
        yield warning if isinstance(warning, str) else _warning(warning)


def _warning(warning: PlanWarning) -> str:
    match warning:
        case DueLater(count):
            fit = "does not fit" if count == 1 else "do not fit"
            return f"{count} more due {'passage' if count == 1 else 'passages'} {fit} today."
        case Unplanned(minutes):
            return f"{counted(minutes, 'minute')} unplanned."
    before = f"after {warning.before:.0f} minutes a week before"
    return (
        f"With this plan the last seven days come to {warning.minutes:.0f} minutes, "
        f"{before if warning.before >= 1 else 'after a pause'}: that is more than "
        f"{warning.most_growth} % up. Shorten it, or rest more; and when something hurts, stop "
        "and ask your teacher or a doctor."
    )


def minutes_told(item: Item) -> str:
    """`3 min`."""
    return f"{item.minutes} min"


def goal_told(goal: Goal, by: date | None = None) -> str:
    """`Study: Viola bars 13–16, dotted quarter = 69, by 2 May 2027`."""
    where = passage_told(goal.bars, goal.part_name, goal.bars_label)
    title = f"{goal.score_title}: " if goal.score_title else ""
    until = f", by {day_told(by)}" if by else ""
    return f"{title}{where}, {tempo_told(goal.beat, goal.tempo)}{until}"


def day_to_come_told(by: date, what: OccasionKind | None, today: date) -> str:
    """` by 2 May 2027, the rehearsal in 155 days`."""
    left = (by - today).days
    when = "today" if left <= 0 else "tomorrow" if left == 1 else f"in {left} days"
    kind = "day" if what is OccasionKind.OTHER else what or OccasionKind.CONCERT
    return f" by {day_told(by)}, the {kind} {when}"


HABITS_TOLD = {
    "minutes": "minutes of a plan by default",
    "warm_up": "minutes of warm-up, at most a sixth of the plan",
    "visit": "minutes on one passage before the next",
    "break_every": "minutes of playing before a rest",
    "break_minutes": "minutes of that rest",
    "new_a_day": "new passages a day",
    "step": "beats a minute from one step of a ladder to the next",
    "begin": "percent of the goal tempo at which a ladder begins",
    "last_days": "days before a concert for run-throughs",
    "most_growth": "percent a week may grow before a warning",
}
"""Every habit with what it is."""

DAY_ENDS_TOLD = "hour at which a day of practice ends"
