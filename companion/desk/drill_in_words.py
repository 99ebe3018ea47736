"""How a drill stands, in the sentences a screen shows."""

from __future__ import annotations

from companion.click.layers import Layer
from companion.desk.drill import Drill, Position, told_tempo
from companion.desk.telling import span_told
from companion.practice.attempt import Attempt

LAYER_KEYS = {
    "b": Layer.BEAT,
    "d": Layer.DIVISION,
    "m": Layer.MINE,
    "t": Layer.THEIRS,
    "r": Layer.RESULTANT,
}
"""The key that turns each layer on and off."""

LAYER_MEANINGS = {
    Layer.BEAT: "the felt beats of my part",
    Layer.DIVISION: "the pulses my meter falls into",
    Layer.MINE: "in a conflict, my side",
    Layer.THEIRS: "in a conflict, the other side",
    Layer.RESULTANT: "in a conflict, both sides as one rhythm",
}
"""What sounds in each layer."""

_STATES = {
    "idle": "■ stopped",
    "playing": "▶ playing",
    "paused": "‖ paused",
    "ended": "■ stopped",
    "failed": "■ stopped",
}


def state_told(drill: Drill, position: Position | None) -> str:
    """`▶ playing, bar 15 (printed 14)` or `▶ playing, count-in`."""
    told = _STATES[drill.state]
    if position is None:
        return told
    if position.time is None:
        return f"{told}, count-in"
    bar = next((bar for bar in drill.passage.bars if position.time < bar.end), None)
    return f"{told}, {span_told(drill.stand, bar.number, bar.number)}" if bar else told


def tempo_told(drill: Drill) -> str:
    """`Tempo: dotted quarter = 60 (as last time)`."""
    because = drill.tempo_because
    return f"Tempo: {drill.tempo_told}" + (f" ({because})" if because else "")


def passes_told(drill: Drill) -> str:
    """`Through: 3 times at this tempo · played 2:10`."""
    minutes, seconds = divmod(int(drill.seconds), 60)
    return f"Through: {_times(drill.passes)} at this tempo · played {minutes}:{seconds:02}"


def count_in_told(drill: Drill) -> str:
    """`Count-in: 1 bar (c changes it)`."""
    bars = drill.setting.count_in
    return f"Count-in: {('none', '1 bar', '2 bars')[bars]} (c changes it)"


def layers_told(drill: Drill) -> str:
    """`Layers: b beat ON · d division off · …`: each key, its word and its state."""
    states = (
        f"{key} {layer.value} {'ON' if layer in drill.setting.layers else 'off'}"
        for key, layer in LAYER_KEYS.items()
    )
    return f"Layers: {' · '.join(states)}"


def noted_told(drill: Drill, attempt: Attempt) -> str:
    """`In the log at 07:32: held at dotted quarter = 60, 3 times through.`"""
    tempo = told_tempo(attempt.tempo, drill.passage)
    went = f"{attempt.outcome.value} at {tempo}, {_times(attempt.repetitions)} through"
    return f"In the log at {attempt.at:%H:%M}: {went}."


def _times(count: int) -> str:
    return {0: "not yet", 1: "once"}.get(count, f"{count} times")
