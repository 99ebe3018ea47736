"""What there is to say about a click once it is made: a line for a person, a record for a
program."""

from __future__ import annotations

from fractions import Fraction

from companion.click.export.tags import tag_tempo_told
from companion.click.plan.plan import seconds_at, sounding_strokes
from companion.click.plan.tempo_plan import Marked
from companion.click.words.tempo_words import tempo_in_words
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name
from companion.score.tempo_map import (
    CUSTOMARY,
    printed_rates,
    stated_tempos,
    tempo_map,
    without_number,
)
from companion.session.click_file import Click
from companion.session.open_score import OpenScore
from companion.wording.phrases import counted, play_time, written_told
from companion.wording.score_sentences import bar_span_told

_MOST = 4
"""Words told one by one."""


def click_told(open_score: OpenScore, click: Click) -> str:
    """`Written: out.wav: Viola, bars 13–20, dotted quarter = 60, 96 strokes, 0:16`."""
    passage = click.passage
    bars = bar_span_told(open_score, passage.first, passage.last)
    return written_told(
        click.path,
        f"{passage.part_name}, {bars}, {_sound_told(click)}"
        f"{_assumed(click)}{_left_out(open_score, click)}",
    )


def beat_told(beat: str, click: Click) -> str:
    """The same of a beat without a score, whose one bar is played again and again:
    `Written: out.wav: 3:2, 60 bars, quarter = 60, 300 strokes, 2:00`."""
    bars, before = counted(click.plan.repeat, "bar"), click.plan.click_settings.count_in
    counted_in = f" after {before} counted in" if before else ""
    return written_told(click.path, f"{beat}, {bars}{counted_in}, {_sound_told(click)}")


def _sound_told(click: Click) -> str:
    strokes = sum(1 for _ in sounding_strokes(click.plan))
    tempo, length = tag_tempo_told(click.plan), play_time(click.plan.seconds)
    return f"{tempo}, {counted(strokes, 'stroke')}, {length}"


def _left_out(open_score: OpenScore, click: Click) -> str:
    """Words about tempo in the passage that change nothing, as nobody said how much."""
    tempo, passage = click.plan.click_settings.tempo, click.passage
    if not isinstance(tempo, Marked):
        return ""
    words = [(word.at, word.text) for word in without_number(passage.clock)]
    if tempo.rit is None:
        words += [
            (change.start, change.text) for change in tempo_map(passage.clock).gradual_changes
        ]
    lost = sorted({(at, text) for at, text in words if passage.start <= at < passage.end})
    if not lost:
        return ""
    shown = ", ".join(f"“{text}” ({_bar_told(open_score, click, at)})" for at, text in lost[:_MOST])
    more = f" and {len(lost) - _MOST} more" if len(lost) > _MOST else ""
    return f"; without a number and left out: {shown}{more}"


def _bar_told(open_score: OpenScore, click: Click, at: Fraction) -> str:
    bar = max(bar.number for bar in click.passage.bars if bar.start <= at)
    return bar_span_told(open_score, bar, bar)


def _assumed(click: Click) -> str:
    """What was taken for granted where the score says nothing."""
    if not isinstance(click.plan.click_settings.tempo, Marked):
        return ""
    clock, start = click.passage.clock, click.passage.start
    if printed_rates(clock).at(start) is not None:
        return ""
    if any(stated.at <= start for stated in stated_tempos(clock)):
        return "; no page says so: it is assumed from what the file says for playback"
    return (
        f"; no tempo is marked there, so {CUSTOMARY} felt beats a minute of the first bar "
        "are assumed"
    )


def click_record(click: Click) -> dict[str, object]:
    """Everything about a click, exact numbers as text."""
    plan = click.plan
    return {
        "file": str(click.path),
        "part": {"id": click.passage.part_id, "name": click.passage.part_name},
        "first": click.passage.first,
        "last": click.passage.last,
        "printed": span_name(click.passage.clock, click.passage.first, click.passage.last),
        "tempo": {"bpm": str(plan.tempo.bpm), "beat": note_name(plan.tempo.beat)},
        "tempo_plan": tempo_in_words(plan.click_settings.tempo),
        "times": plan.repeat,
        "seconds": str(plan.seconds),
        "strokes": [
            {
                "seconds": str(seconds_at(plan, stroke.at)),
                "layer": stroke.layer.value,
                "accent": stroke.is_accented,
                "bar": stroke.bar,
            }
            for stroke in sounding_strokes(plan)
        ],
    }
