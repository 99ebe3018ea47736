"""The tempo plan as a form: which kind of plan, and its numbers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from companion.click.plan.tempo_plan import (
    LEAST_SHARE,
    MOST_SHARE,
    Fixed,
    Ladder,
    Marked,
    Ramp,
    TempoPlan,
    Turns,
)
from companion.click.words.tempo_words import tempo_in_words
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.settings import Setting
from companion.tui.widgets.form import Form, Row, chosen_row, number_row, tempo_row
from companion.wording.setting_sentences import AFTER_FAILING, plan_told

_PLAN_EXAMPLES = (
    ("60", "one tempo"),
    ("60 to 90 by 4", "a ladder: a step up once it held"),
    ("…, twice each", "twice through on each step before the next"),
    ("…, else back one", "a step back after an attempt that failed (or: from the start)"),
    ("60 to 90 over 8 times", "a ramp without steps"),
    ("60 and 90, twice each", "two alternating tempos"),
    ("as marked    80%", "the score's own tempos, or a share of them"),
)
_PLAN_WORDS = (
    *("to", "by", "over", "and", "times each", "twice each", "times"),
    *("else back one", "else from the start", "as marked", "of marked"),
)


def plan_form(drill: Drill) -> Form[Setting, Setting]:
    """The form of a drill's tempo plan."""
    beat = note_name(drill.passage.beat)
    return Form(
        f"Tempo plan, in beats a minute ({beat})",
        lambda setting: [
            _as_row(row, setting) for row in _plan_rows(_plan(setting), bpm=drill.bpm)
        ],
        lambda setting: plan_told(_plan(setting), beat),
        lambda setting: tempo_in_words(_plan(setting)),
        lambda words, setting: setting_changes.with_plan(setting, words),
        lambda setting: setting,
        examples=_PLAN_EXAMPLES,
        known=_PLAN_WORDS,
    )


def _plan(setting: Setting) -> TempoPlan:
    return setting.ladder or setting.tempo


def _as_row(row: Row[TempoPlan], setting: Setting) -> Row[Setting]:
    """A row of the plan as a row of the setting."""

    def made(plan: TempoPlan) -> Setting:
        is_same = plan == _plan(setting)
        return setting if is_same else setting_changes.with_tempo(setting, plan)

    type_over = row.typed
    typed = None if type_over is None else lambda text: made(type_over(text))
    return Row(
        row.label, row.shown, lambda by: made(row.step(by)), row.options, row.note, typed, row.far
    )


def _plan_rows(plan: TempoPlan, bpm: Fraction) -> list[Row[TempoPlan]]:
    """The kind of plan, then its numbers; `bpm` is the tempo for a plan that has none."""
    start, goal = _ends(plan, bpm)
    kinds: list[tuple[str, TempoPlan]] = [
        ("one tempo", Fixed(start)),
        ("ladder", Ladder(start, goal, Fraction(4))),
        ("ramp", Ramp(start, goal, 8)),
        ("two tempos", Turns(start, goal)),
        ("as marked", Marked()),
    ]
    names = {Fixed: 0, Ladder: 1, Ramp: 2, Turns: 3, Marked: 4}
    here = names[type(plan)]
    kinds[here] = (kinds[here][0], plan)
    return [chosen_row("Plan", kinds, kinds[here][0]), *_NUMBERS[type(plan)](plan)]


def _ends(plan: TempoPlan, bpm: Fraction) -> tuple[Fraction, Fraction]:
    """From where to where a plan goes; a quarter faster if it stays."""
    if isinstance(plan, Ladder | Ramp):
        start, goal = plan.start, plan.goal
    elif isinstance(plan, Turns):
        start, goal = plan.first, plan.second
    else:
        start = goal = plan.bpm if isinstance(plan, Fixed) else bpm
    if start != goal:
        return start, goal
    faster = Fraction(round(start * 5 / 4))
    return start, faster if faster <= FASTEST else Fraction(round(start * 3 / 4))


def _each_row(each: int, make: Callable[[int], TempoPlan]) -> Row[TempoPlan]:
    note = "time through on each" if each == 1 else "times through on each"
    return number_row("Times each", each, lambda n: make(int(n)), (1, 99), note=note)


def _ladder_rows(plan: Ladder) -> list[Row[TempoPlan]]:
    fails = [(told, replace(plan, after_failing=one)) for one, told in AFTER_FAILING.items()]
    return [
        tempo_row("From", plan.start, lambda bpm: replace(plan, start=bpm)),
        tempo_row("To", plan.goal, lambda bpm: replace(plan, goal=bpm)),
        number_row("Step", plan.step, lambda step: replace(plan, step=step), (1, 100)),
        _each_row(plan.each, lambda each: replace(plan, each=each)),
        chosen_row("If it fails", fails, AFTER_FAILING[plan.after_failing]),
    ]


def _ramp_rows(plan: Ramp) -> list[Row[TempoPlan]]:
    return [
        tempo_row("From", plan.start, lambda bpm: replace(plan, start=bpm)),
        tempo_row("To", plan.goal, lambda bpm: replace(plan, goal=bpm)),
        number_row(
            "Over", plan.over or 1, lambda n: replace(plan, over=int(n)), (1, 99), note="times"
        ),
    ]


def _turns_rows(plan: Turns) -> list[Row[TempoPlan]]:
    return [
        tempo_row("First", plan.first, lambda bpm: replace(plan, first=bpm)),
        tempo_row("Then", plan.second, lambda bpm: replace(plan, second=bpm)),
        _each_row(plan.each, lambda each: replace(plan, each=each)),
    ]


def _marked_rows(plan: Marked) -> list[Row[TempoPlan]]:
    percent = plan.share * 100
    bounds = (int(LEAST_SHARE * 100), int(MOST_SHARE * 100))
    return [
        number_row(
            "Share", percent, lambda n: replace(plan, share=n / 100), bounds, note="% of marked"
        )
    ]


_NUMBERS: dict[type, Callable[..., list[Row[TempoPlan]]]] = {
    Fixed: lambda plan: [tempo_row("Tempo", plan.bpm, Fixed)],
    Ladder: _ladder_rows,
    Ramp: _ramp_rows,
    Turns: _turns_rows,
    Marked: _marked_rows,
}
