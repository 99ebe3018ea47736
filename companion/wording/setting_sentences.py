"""What a setting of the drill will do, in a sentence, while it is being chosen."""

from __future__ import annotations

from companion.click.plan.layers import Layer
from companion.click.plan.silences import (
    SOUNDING,
    Every,
    Growing,
    Only,
    RandomSilence,
    Silence,
    SilentSide,
)
from companion.click.plan.tempo_plan import AfterFailing, Fixed, Ladder, Ramp, TempoPlan, Turns
from companion.click.synth.tuning import A, note_told
from companion.score.model import Score
from companion.session.accompaniment import Accompaniment
from companion.session.settings import Setting
from companion.wording.drill_sentences import LAYER_MEANINGS
from companion.wording.phrases import bpm_told, counted, listed, sentence, tempo_told, times_told

AFTER_FAILING = {
    AfterFailing.SAME: "stays",
    AfterFailing.BACK_ONE: "back one",
    AfterFailing.FROM_START: "from the start",
}
"""What a ladder does after an attempt that failed."""
_FALLS = {
    AfterFailing.SAME: "the tempo stays",
    AfterFailing.BACK_ONE: "one step back",
    AfterFailing.FROM_START: "back to where it began",
}


def plan_told(plan: TempoPlan, beat: str) -> str:
    """`From dotted quarter = 60 to 90 in 8 steps of 4: one step on when it has held twice.`"""
    if isinstance(plan, Fixed):
        return f"Every time through at {tempo_told(beat, plan.bpm)}."
    if isinstance(plan, Ladder):
        return _ladder_told(plan, beat)
    if isinstance(plan, Ramp):
        way = "faster" if plan.goal > plan.start else "slower"
        ends = f"{tempo_told(beat, plan.start)} to {bpm_told(plan.goal)}"
        over = "the first time" if (plan.over or 1) == 1 else f"the first {plan.over} times"
        return f"A little {way} on every beat, from {ends}, over {over} through; then it stays."
    if isinstance(plan, Turns):
        ends = f"{tempo_told(beat, plan.first)}, then {times_told(plan.each)} at "
        return f"{times_told(plan.each).capitalize()} at {ends}{bpm_told(plan.second)}, and again."
    if plan.share == 1:
        return "At the score's own tempos."
    return f"At {float(plan.share * 100):g}% of the score's own tempos."


def _ladder_told(plan: Ladder, beat: str) -> str:
    tempos = plan.tempos
    last = abs(tempos[-1] - tempos[-2])
    rest = f", the last of {bpm_told(last)}" if last != plan.step else ""
    steps = f"{counted(len(tempos) - 1, 'step')} of {bpm_told(plan.step)}{rest}"
    return (
        f"From {tempo_told(beat, plan.start)} to {bpm_told(plan.goal)} in {steps}: one step on "
        f"when it has held {times_told(plan.each)}. After one that failed, "
        f"{_FALLS[plan.after_failing]}."
    )


def silences_told(silences: tuple[Silence, ...]) -> str:
    """`The click leaves out every 4th bar.`"""
    if not silences:
        return "The click sounds all the time."
    return " ".join(sentence(_silence_told(one)) for one in silences)


def _silence_told(silence: Silence) -> str:
    if isinstance(silence, Only):
        other = "theirs" if silence.side is SilentSide.MINE else "mine"
        return f"in a conflict only {silence.side} sounds, {other} and the beat do not"
    one = "time through" if silence.unit == "times" else silence.unit.removesuffix("s")
    if isinstance(silence, Every):
        return f"the click leaves out every {_ordinal(silence.number)} {one}"
    if isinstance(silence, Growing):
        way = "one" if silence.most == 1 else f"one {one}, then more, up to {silence.most}"
        return f"the click is silent for {way}; {SOUNDING} sound in between"
    assert isinstance(silence, RandomSilence)
    return f"each {one} is silent with a chance of {float(silence.share * 100):g} in 100"


def _ordinal(number: int) -> str:
    teens = 11 <= number % 100 <= 13
    ending = "th" if teens else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return {2: "second", 3: "third", 4: "fourth"}.get(number, f"{number}{ending}")


def layers_sound_told(setting: Setting) -> str:
    """`You hear: the felt beats of my part; in a conflict, my side.`"""
    heard = [
        LAYER_MEANINGS[layer] if isinstance(layer, Layer) else f"what is written in {layer.name}"
        for layer in setting.layers
    ]
    return f"You hear: {'; '.join(heard)}."


def accompaniment_told(accompaniment: Accompaniment, score: Score) -> str:
    """`Violin II and Cello play along, plucked; a drone on A3 is held.`"""
    told = []
    if accompaniment.parts:
        names = listed([score.parts[part].name for part in accompaniment.parts])
        verb = "plays" if len(accompaniment.parts) == 1 else "play"
        how = f"with {accompaniment.font.name}" if accompaniment.font else accompaniment.tone.value
        told.append(f"{names} {verb} along, {how}")
    if accompaniment.drone is not None:
        told.append(f"{note_told(accompaniment.drone)} is held")
    if not told:
        return "The click alone."
    tuning = f", at A = {accompaniment.a:g}" if accompaniment.a != A else ""
    return f"{'; '.join(told)}{tuning}."
