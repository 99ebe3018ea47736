"""The controls of a handout, and what its script has to know, as HTML.

The controls are plain form fields, so that keyboard, touch and screen readers find what they
know; `player.js` brings them to life. Nothing here is written into the script itself: names
and words reach it as data, and it puts them on the page as text.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from hashlib import sha256
from html import escape
from importlib.resources import files
from typing import Any

from companion.click.plan.layers import AnyLayer, Layer, PartRhythm
from companion.click.words.layer_words import silences_in_words
from companion.click.words.tempo_words import tempo_in_words
from companion.journal.json_document import FORM, VERSION
from companion.practice.attempt import Outcome
from companion.publish.handout.handout_notes import EngravedPassage
from companion.publish.handout.handout_sound import (
    VOICE_RATE,
    HandoutSound,
    sound_record,
    tones_record,
    voices_record,
)
from companion.publish.handout.lesson import Handout, Lesson
from companion.publish.report.report_file import ABOUT, FORMAT, KIND
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST, SLOWEST
from companion.score.bar_numbers import span_name
from companion.wording.drill_sentences import BEFORE_THE_FIRST_SOUND, TEMPO_SOURCES
from companion.wording.exercise_sentences import target_told
from companion.wording.phrases import (
    bpm_told,
    counted,
    silences_named,
    tempo_told,
)

SCRIPT = files("companion.publish.handout").joinpath("player.js").read_text("utf-8")
"""What makes a page play."""

_LAYERS = {
    Layer.BEAT: "the beat",
    Layer.DIVISION: "the pulses",
    Layer.MINE: "your side",
    Layer.THEIRS: "the other side",
    Layer.RESULTANT: "both sides as one rhythm",
    Layer.BAR: "the first of each bar",
    Layer.COINCIDENCE: "where both sides meet",
    Layer.PERIOD: "where groups begin",
    Layer.TRIPLET: "the short note with the triplet",
    Layer.RHYTHM: "the rhythm of your part",
}


def player(lesson: Lesson, sound: HandoutSound, number: int, level: int) -> Iterator[str]:
    """The controls of lesson `number`, from 1, in a section that the caller closes."""
    settings = lesson.click_settings
    label = escape(f"Player: {lesson.part_name}, {lesson.bars}")
    yield f'<section class="player" aria-label="{label}">'
    yield f'<p class="caution"><strong>Take care:</strong> {escape(BEFORE_THE_FIRST_SOUND)}</p>'
    goal = tempo_told(note_name(lesson.passage.beat), lesson.tempo)
    yield f"<p>Goal tempo: {escape(goal)} ({TEMPO_SOURCES[lesson.goal_source]}).</p>"
    yield "<noscript><p>This page plays only if your browser runs scripts.</p></noscript>"
    yield (
        '<div class="transport needs-script screen" hidden>'
        '<button type="button" class="play">Play</button>'
        '<button type="button" class="restart">From the start</button>'
        '<p class="state" role="status">Ready.</p></div>'
    )
    yield '<div class="controls needs-script screen" hidden>'
    yield from _tempo(lesson, sound, number)
    yield from _sounding(lesson, sound)
    yield from _bars(lesson, number)
    yield "</div>"
    dashed = "The place is dashed while the click is silent. " if settings.silences else ""
    yield (
        f'<p class="quiet needs-script screen" hidden>Esc stops. Touch a bar below to begin '
        f"there. {dashed}Nothing to hear on a telephone? Look at its silent switch.</p>"
    )


def _fieldset(legend: str, fields: Iterator[str]) -> Iterator[str]:
    yield f"<fieldset><legend>{escape(legend)}</legend>"
    yield from fields
    yield "</fieldset>"


def _label(box: str, words: str) -> str:
    return f"<label>{box} {escape(words)}</label>"


def _box(name: str, value: object, *, is_on: bool = False) -> str:
    checked = " checked" if is_on else ""
    return f'<input type="checkbox" class="{name}" value="{value}"{checked}>'


def _tempo(lesson: Lesson, sound: HandoutSound, number: int) -> Iterator[str]:
    settings = lesson.click_settings

    def radio(value: object, name: str = "", *, is_on: bool = False) -> str:
        checked = " checked" if is_on else ""
        return (
            f'<input type="radio" class="tempo{name}" name="tempo-{number}" '
            f'value="{value}"{checked}>'
        )

    def fields() -> Iterator[str]:
        if lesson.target:
            often = counted(sound.plan.repeat, "time")
            words = f"as the exercise says: {tempo_in_words(settings.tempo)} ({often})"
            yield _label(radio("plan", is_on=True), words)
        for at, (name, bpm) in enumerate(sound.tempos):
            yield _label(radio(bpm, is_on=not lesson.target and at == 0), f"{name}: {bpm}")
        yield "<span>" + _label(radio("own", " own"), "another:")
        yield (
            f'<input type="number" class="bpm" min="{SLOWEST}" max="{FASTEST}" step="any" '
            f'value="{bpm_told(lesson.tempo)}" aria-label="another tempo, beats a minute"></span>'
        )

    yield from _fieldset(f"Tempo ({note_name(lesson.passage.beat)}s a minute)", fields())


def _sounding(lesson: Lesson, sound: HandoutSound) -> Iterator[str]:
    settings, score = lesson.click_settings, lesson.open_score.score

    def click() -> Iterator[str]:
        for at, layer in enumerate(sound.layers):
            yield _label(_box("layer", at, is_on=layer in sound.on), layer_told(layer))
        words = silences_in_words(settings.silences) if settings.silences else ""
        left = [silences_named(words)] if words else []
        if left or lesson.fades:
            words = ", ".join([*left, *filter(None, [lesson.fades])])
            yield _label(_box("silences", 1, is_on=True), f"it falls silent or fades: {words}")

    def notes() -> Iterator[str]:
        for at, part in enumerate(sound.parts):
            mine = " (yours)" if part == lesson.passage.part else ""
            yield _label(_box("part", at), f"{score.parts[part].name}{mine}")

    yield from _fieldset("Click", click())
    yield from _fieldset("Notes", notes())


def layer_told(layer: AnyLayer) -> str:
    """What a layer sounds, as the student of a handout understands it."""
    if isinstance(layer, PartRhythm):
        return f"the rhythm of {layer.name}"
    return _LAYERS[layer]


def _bars(lesson: Lesson, number: int) -> Iterator[str]:
    bars = lesson.passage.bars

    def choice(name: str, chosen: int) -> str:
        options = "".join(
            f'<option value="{at}"{" selected" if at == chosen else ""}>{escape(bar.name)}</option>'
            for at, bar in enumerate(bars)
        )
        return f'<label>{name} <select class="{name}">{options}</select></label>'

    def fields() -> Iterator[str]:
        yield choice("from", 0)
        yield choice("to", len(bars) - 1)
        yield _label(_box("again", 1), "again and again")
        is_counted = lesson.click_settings.count_in > 0
        yield _label(_box("count-in", 1, is_on=is_counted), "count-in")
        yield (
            '<label>volume <input type="range" class="volume" min="0" max="100" value="50"></label>'
        )

    yield from _fieldset("Bars", fields())


def noting(lesson: Lesson, number: int, level: int) -> Iterator[str]:
    """The form in which an attempt is noted."""
    outcomes = "".join(
        f'<label><input type="radio" class="outcome" name="outcome-{number}" '
        f'value="{outcome.value}" required> '
        f"{outcome.value}</label>"
        for outcome in Outcome
    )
    beat = note_name(lesson.passage.beat)
    yield (
        f'<form class="noting needs-script screen" hidden><h{level}>How did it go?</h{level}>'
        f"<fieldset><legend>Outcome</legend>{outcomes}</fieldset>"
        f'<label>{beat}s a minute <input type="number" class="noted-bpm" required step="0.1" '
        f'min="1" max="999" value="{bpm_told(lesson.tempo)}"></label>'
        '<label>times through <input type="number" class="noted-times" required min="0" '
        'max="999" value="1"></label>'
        '<label><input type="checkbox" class="with-click" checked> with the click</label>'
        '<button type="submit">Note it</button>'
        '<p class="noted" role="status"></p></form>'
    )


def saving(level: int) -> Iterator[str]:
    """What was noted, and the way to a file of it; once in a page."""
    yield '<section class="needs-script screen" hidden>'
    yield f"<h{level}>What you noted</h{level}>"
    yield '<ul class="attempts"></ul>'
    yield (
        '<form class="saving"><label>your name <input type="text" class="student" '
        'maxlength="100" autocomplete="name"></label>'
        '<label>to your teacher <input type="text" class="words" maxlength="500"></label>'
        '<button type="submit">Save as a file</button></form>'
    )
    yield '<p class="saying" role="status"></p>'
    yield (
        '<p class="quiet">Your browser keeps what you note only on this device, and may forget '
        "it. The file is for your teacher (companion collect) or your own practice log "
        "(companion log import).</p>"
    )
    yield "</section>"


# What the script has to know.


def page_record(
    handout: Handout, drawn: Sequence[tuple[HandoutSound, EngravedPassage]], file_name: str
) -> str:
    """The element with all numbers and names of a page, as JSON that ends no element."""
    lessons = [
        _lesson(lesson, sound, notes)
        for lesson, (sound, notes) in zip(handout.lessons, drawn, strict=True)
    ]
    voices = {voice for lesson in lessons for voice, *_ in lesson["sound"]["sounds"]}
    record = {
        "file": file_name,
        "lessons": lessons,
        "voices": voices_record(voices),
        "rate": VOICE_RATE,
        "tones": tones_record(),
        "outcomes": [outcome.value for outcome in Outcome],
        "log": {"form": FORM, "version": VERSION},
        "report": {"kind": KIND, "format": FORMAT, "about": ABOUT},
        "exercise": _exercise(handout),
    }
    content = json.dumps(record, ensure_ascii=True, separators=(",", ":"))
    identity = sha256(content.encode()).hexdigest()[:16]
    content = json.dumps(record | {"id": identity}, ensure_ascii=True, separators=(",", ":"))
    safe = content.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return f'<script type="application/json" id="playing">{safe}</script>'


def _lesson(lesson: Lesson, sound: HandoutSound, notes: EngravedPassage) -> dict[str, Any]:
    score, passage = lesson.open_score.score, lesson.passage
    silences = lesson.click_settings.silences
    return {
        "title": lesson.title or lesson.part_name,
        "beat": note_name(passage.beat),
        "sound": sound_record(lesson, sound),
        "engraved": [
            [note.id, round(float(note.begins), 9), round(float(note.ends), 9)]
            for note in notes.notes
        ],
        "attempt": {
            "score": {"title": score.title, "digest": lesson.open_score.digest, "path": ""},
            "part": {"id": passage.part_id, "name": passage.part_name},
            "parts": [score.parts[part].name for part in sound.parts],
            "first": passage.first,
            "printed": span_name(passage.clock, passage.first, passage.last),
            "silences": silences_in_words(silences) if silences else "",
        },
    }


def _exercise(handout: Handout) -> dict[str, object] | None:
    """What a report says of the exercise, without how far it is."""
    exercise = handout.exercise
    if exercise is None:
        return None
    return {
        "id": exercise.id,
        "title": exercise.title,
        "due": exercise.due,
        "drills": [
            {
                "title": title,
                "score": target.bars.score_digest,
                "part": target.bars.part_id,
                "first": target.bars.first,
                "last": target.bars.last,
                "goal": target_told(target),
                "aims": {
                    "outcome": target.outcome.value,
                    "tempo": {"bpm": str(target.tempo), "beat": target.beat},
                    "times": target.times,
                    "days": target.days,
                },
            }
            for title, target in exercise.drills
        ],
    }
