"""How a drill stands, in the sentences a screen shows."""

from __future__ import annotations

from fractions import Fraction

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import (
    Fixed,
    Ladder,
    LadderPlace,
    TempoPlan,
    is_before,
    tempo_on,
)
from companion.click.words.layer_words import silences_in_words
from companion.click.words.tempo_words import tempo_in_words
from companion.practice.attempt import Attempt, Outcome
from companion.rhythm.meter import note_name
from companion.session.accompaniment import accompaniment_in_words
from companion.session.drill import Drill
from companion.session.lanes import Lanes
from companion.session.plain_beat import BeatDrill
from companion.session.starting_tempo import TempoSource
from companion.session.tally import Stretch
from companion.session.track import Position
from companion.wording.log_sentences import unsaved_told
from companion.wording.phrases import (
    bpm_told,
    counted,
    day_told,
    listed,
    play_time,
    silences_named,
    tempo_told,
    times_told,
)
from companion.wording.score_sentences import bar_span_told

LAYER_KEYS = {
    "b": Layer.BEAT,
    "d": Layer.DIVISION,
    "m": Layer.MINE,
    "t": Layer.THEIRS,
    "r": Layer.RESULTANT,
}
"""The key that turns each layer on and off; the others are named in words."""

LAYER_MEANINGS = {
    Layer.BEAT: "the felt beats of my part",
    Layer.DIVISION: "the pulses my meter falls into",
    Layer.MINE: "in a conflict, my side",
    Layer.THEIRS: "in a conflict, the other side",
    Layer.RESULTANT: "in a conflict, both sides as one rhythm",
    Layer.BAR: "the first of each bar",
    Layer.COINCIDENCE: "in a conflict, where both sides meet",
    Layer.PERIOD: "where the groups of a hemiola or displacement begin",
    Layer.TRIPLET: "dotted against triplet: the short note with the triplet",
    Layer.RHYTHM: "what is written in my part",
}
"""What sounds in each layer."""

TEMPO_SOURCES = {
    TempoSource.LAST_TIME: "as last time",
    TempoSource.MARK: "the score's mark",
    TempoSource.PLAYBACK: "assumed; not printed",
    TempoSource.CUSTOM: "assumed; no mark",
    TempoSource.ASKED: "as asked",
    TempoSource.EXERCISE: "the exercise's goal",
}
"""Where a tempo comes from, to be read in brackets after it."""

BEFORE_THE_FIRST_SOUND = (
    "Start with the volume low: no program can know how loud your headphones are. "
    "Rest when it hurts, and ask your teacher or a doctor."
)
"""Shown once for each data folder."""

MICROPHONE_IS_OPEN = (
    "● The microphone is open. Click in headphones, play from the beginning; R or space ends it."
)
JUDGING = "The microphone is closed. Listening …"

TIME_FOR_A_REST = "You have played a quarter of an hour without a rest: a good moment for one."

STILL_LOADING = "Still loading: the sound is being made."
STARTS_WHEN_READY = "Loading: it starts as soon as the sound is made. Space again takes that back."

PEDAL_TOLD = (
    "Pedal or pad: 1× again, 2× slower, 3× faster, 4× today's next, held: how it went "
    "(then 1 to 4×)."
)
NEXT_IS = "N: today's next."
NOTHING_NEXT = "Nothing is left of today's plan: y on the first screen shows it."

_MOST = 4
"""Earlier stretches that are listed."""

_STATES = {
    "idle": "■ stopped",
    "playing": "▶ playing",
    "paused": "‖ paused",
    "ended": "■ stopped",
    "failed": "■ stopped",
}


NOT_THROUGH = "It was not played through to its end, so it cannot have held."
NO_LADDER_LEFT = "No ladder was left unfinished at these bars: p sets one."
NOTHING_TO_UNDO = "No change of tempo, plan or click to undo since the last attempt."


def state_told(drill: Drill, position: Position | None) -> str:
    """`▶ playing, bar 14`, `▶ playing, count-in` or `■ stopped, begins at bar 14`."""
    told = _STATES[drill.state]
    if position is None:
        first = drill.setting.first
        return (
            told
            if first is None
            else f"{told}, begins at {bar_span_told(drill.open_score, first, first)}"
        )
    if position.time is None:
        told = f"{told}, count-in"
    else:
        told = f"{told}, {bar_span_told(drill.open_score, position.bar, position.bar)}"
    return f"{told} · a: again, counted in" if drill.state == "paused" else told


_COMING = 2
"""Bars whose notes are told ahead."""


def coming_told(lanes: Lanes, index: int, silent: frozenset[int]) -> tuple[str, ...]:
    """The notes of the bar of an index and of those after it: `14  F#4 A4 D5`, a line each."""
    told = []
    for at in range(index, min(index + _COMING, len(lanes.bars))):
        bar = lanes.bars[at]
        notes = [one.pitch for one in lanes.mine.strokes if bar.start <= one.at < bar.end]
        named = " ".join(name for name in notes if name not in ("", "x"))
        strokes = named or (counted(len(notes), "stroke") if notes else "rest")
        is_left_out = "  (no click)" if bar.number in silent else ""
        told.append(f"{lanes.labels[at]}  {strokes}{is_left_out}")
    return tuple(told)


def tempo_line(drill: Drill) -> str:
    """`Tempo: dotted quarter = 60 (as last time)`, with the plan it is part of."""
    setting, source = drill.setting, drill.tempo_source
    if setting.ladder is not None:
        now, where = _tempo(drill, drill.bpm), _step_told(setting.ladder, setting.climb, drill.bpm)
        return f"Tempo: {now} · {where} to {bpm_told(setting.ladder.goal)} (p)"
    if isinstance(setting.tempo, Fixed):
        told_now = f"Tempo: {_tempo(drill, setting.tempo.bpm)}"
        return (
            f"{told_now} ({TEMPO_SOURCES[source]}) · plan (p)"
            if source
            else f"{told_now} · plan (p)"
        )
    name = note_name(drill.passage.beat)
    return f"Tempo: {name} = {tempo_in_words(setting.tempo)}, now {bpm_told(drill.bpm)} (p)"


def _step_told(ladder: Ladder, climb: LadderPlace, bpm: Fraction) -> str:
    """`step 2 of 5`, `past step 2 of 5`, `before step 1 of 5`."""
    step = tempo_on(ladder, climb)
    beside = "before " if is_before(ladder, bpm, step) else "" if bpm == step else "past "
    return f"{beside}step {climb.index + 1} of {len(ladder.tempos)}"


def ladder_told(drill: Drill) -> str:
    """Where a ladder goes on, or could go on; empty if there is none that was left."""
    ladder, left = drill.setting.ladder, drill.ladder_left
    if ladder is not None:
        if drill.bpm == ladder.start:
            return ""
        here, start = _tempo(drill, drill.bpm), bpm_told(ladder.start)
        return f"The ladder goes on at {here}, where you left it. u: from its start at {start}."
    if left is None:
        return ""
    here = f"{note_name(drill.passage.beat)} = {tempo_in_words(left.setting.tempo)}"
    start = bpm_told(left.ladder.start)
    way = f"started {start}; to {bpm_told(left.ladder.goal)}"
    return f"g: go on at {here}, where you stopped on {day_told(left.day)} ({way})."


def plan_left_told(plan: TempoPlan) -> str:
    """What a step of tempo did to a plan that has no steps."""
    return f"One tempo now, and no longer {tempo_in_words(plan)}: u takes that back."


def _tempo(drill: Drill, bpm: Fraction) -> str:
    return tempo_told(note_name(drill.passage.beat), bpm)


def passes_told(drill: Drill) -> str:
    """`Times through at this setting: 3 · played 2:10 · 2 earlier`."""
    if isinstance(drill, BeatDrill):
        return f"Bars at this setting: {drill.passes} · played {play_time(drill.played)}"
    told = f"Times through at this setting: {drill.passes} · played {play_time(drill.seconds)}"
    earlier = len(drill.unrated) - bool(drill.seconds)
    return f"{told} · {earlier} earlier" if earlier else told


def stretch_told(drill: Drill, stretch: Stretch) -> str:
    """`dotted quarter = 60, beat + mine: twice through, 1:10`."""
    layers = " + ".join(layer.value for layer in stretch.setting.layers)
    through = f"{times_told(stretch.times)} through" if stretch.times else "not played through"
    tempo = _tempo(drill, stretch.tempo)
    return f"{tempo}, {layers}: {through}, {play_time(stretch.seconds)}"


def not_through_told(drill: Drill, stretch: Stretch) -> str:
    """Why 3 and 4 cannot be said of it; empty if they can."""
    if stretch.times:
        return ""
    before = drill.rated_as(stretch, Outcome.HELD)
    if before is None:
        return f"{NOT_THROUGH} Say 1 or 2, or skip it and play it through."
    return f"{NOT_THROUGH} 3 and 4 are for what you played before: {stretch_told(drill, before)}."


def earlier_told(drill: Drill, stretch: Stretch) -> str:
    """What is asked next; empty if nothing is."""
    before = drill.before(stretch)
    if not before:
        return ""
    return "\n".join(["Asked next:", *(f"  {stretch_told(drill, one)}" for one in before[:_MOST])])


def count_in_told(drill: Drill) -> str:
    """`Count-in: 1 bar (c) · silences: every 4 bars (x)`."""
    bars = ("none", "1 bar", "2 bars")[drill.setting.count_in]
    silences = silences_named(silences_in_words(drill.setting.silences))
    return f"Count-in: {bars} (c) · silences: {silences} (x)"


def others_told(drill: Drill) -> str:
    """`Others: off (o on, O who)` or `Others: ON (o off, O who): all, plucked`."""
    setting = drill.setting
    if not setting.are_others_on:
        return "Others: off (o on, O who) · more layers (w)"
    who = accompaniment_in_words(setting.accompaniment, drill.open_score.score, drill.passage.part)
    return f"Others: ON (o off, O who): {who}"


def layers_told(drill: Drill) -> str:
    """`Layers: b beat ON  d division off  …`: each key, its word and its state."""
    chosen = drill.setting.layers
    states = [
        f"{key} {layer.value} {'ON' if layer in chosen else 'off'}"
        for key, layer in LAYER_KEYS.items()
    ]
    states += [f"{layer.value} ON" for layer in chosen if layer not in LAYER_KEYS.values()]
    return f"Layers: {'  '.join(states)}"


def silence_told(drill: Drill) -> str:
    """Why a drill that goes round is not heard, and what to do; empty if it is heard."""
    track = drill.transport.track
    if track is None or track.plan.once or drill.setting.are_others_on:
        return ""
    layers = [layer.value for layer in drill.setting.layers]
    strike = "strikes" if len(layers) == 1 else "strike"
    return f"Silent after the count-in: {listed(layers)} {strike} nothing here. b: the beat."


def noted_told(drill: Drill, attempt: Attempt) -> str:
    """`In the log at 07:32: held at dotted quarter = 60, 3 times through.`, or why it is not."""
    if drill.unsaved is not None:
        return unsaved_told(drill.unsaved)
    tempo = _tempo(drill, attempt.tempo)
    went = f"{attempt.outcome.value} at {tempo}, {times_told(attempt.repetitions)} through"
    noted = f"In the log at {attempt.at:%H:%M}: {went}."
    setting = drill.setting
    if setting.ladder is None or attempt.tempo == drill.bpm:
        return noted
    return f"{noted} The ladder goes on at {_tempo(drill, drill.bpm)}."
