"""The drill's settings as forms: tempo plan, layers, silences, accompaniment.

What is set in a form is a whole `Setting`, so that nothing a line of words cannot say is lost
by opening it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from companion.click.plan.layers import AnyLayer, Layer, PartRhythm
from companion.click.plan.silences import (
    Every,
    Growing,
    Only,
    RandomSilence,
    Silence,
    SilentSide,
    Unit,
)
from companion.click.plan.timbres import ToneName
from companion.click.synth.tuning import HIGHEST_A, LOWEST_A, note_told
from companion.click.words.layer_words import SILENCE_WORDS, layers_in_words, silences_in_words
from companion.session import setting_changes
from companion.session.accompaniment import (
    ALL,
    NOBODY,
    Accompaniment,
    accompaniment_in_words,
    checked_font,
)
from companion.session.drill import Drill
from companion.session.settings import Setting
from companion.tui.screens.plan_form import plan_form
from companion.tui.widgets.form import Form, Row, chosen_row, number_row, switch_row
from companion.wording.drill_sentences import LAYER_MEANINGS
from companion.wording.setting_sentences import (
    accompaniment_told,
    layers_sound_told,
    silences_told,
)

SettingForm = Form[Setting, Setting]
ASKED = ("p", "w", "x", "O")
"""The keys that open a form: tempo plan, layers, silences, accompaniment."""


def setting_form(key: str, drill: Drill) -> SettingForm:
    """The form of a key out of ASKED."""
    return _FORMS[key](drill)


def _same(setting: Setting) -> Setting:
    return setting


# The layers.


def _layers_form(drill: Drill) -> SettingForm:
    parts = drill.open_score.score.parts
    others = [
        PartRhythm(index, part.name)
        for index, part in enumerate(parts)
        if index != drill.passage.part
    ]
    every: list[AnyLayer] = [*Layer, *others]

    def rows(setting: Setting) -> list[Row[Setting]]:
        return [_layer_row(setting, layer) for layer in every]

    return Form(
        "What sounds",
        rows,
        layers_sound_told,
        lambda setting: layers_in_words(setting.layers),
        lambda words, setting: setting_changes.with_layers_named(
            setting, drill.open_score, drill.passage, words
        ),
        _same,
        examples=(
            ("beat, both", "with commas; both stands for mine, theirs"),
            ("rhythm:PART", "what is written in another part"),
        ),
        known=("both", *(layer.value for layer in every)),
    )


def _layer_row(setting: Setting, layer: AnyLayer) -> Row[Setting]:
    if isinstance(layer, Layer):
        label, note = layer.value, LAYER_MEANINGS[layer]
    else:
        label, note = layer.name, "what is written there"

    def make(_: bool) -> Setting:
        return setting_changes.with_layers(setting, set(setting.layers) ^ {layer})

    return switch_row(label, make, note, is_on=layer in setting.layers)


# The silences.

_SILENCE_EXAMPLES = (
    ("every 4", "every fourth bar is silent (or: 4 beats, 4 times)"),
    ("growing to 4", "for one bar, then two, three, four"),
    ("random 0.3", "three bars in ten, at random"),
    ("mine only", "in conflicts only mine sounds; or: theirs only"),
    ("every 4, mine only", "both; none: no silences"),
)


def _silences_form(_: Drill) -> SettingForm:
    return Form(
        "Silences of the click",
        _silence_rows,
        lambda setting: silences_told(setting.silences),
        lambda setting: silences_in_words(setting.silences),
        lambda words, setting: setting_changes.with_silences(setting, words),
        _same,
        examples=_SILENCE_EXAMPLES,
        known=("mine only", "theirs only", *SILENCE_WORDS),
    )


def _silence_rows(setting: Setting) -> list[Row[Setting]]:
    """The first silence in time and the first of a side; what is typed besides stays."""
    timed = next((one for one in setting.silences if not isinstance(one, Only)), None)
    side = next((one for one in setting.silences if isinstance(one, Only)), None)

    def swapped(old: Silence | None, new: Silence | None) -> Setting:
        kept = [new if one is old else one for one in setting.silences]
        kept += [new] if old is None else []
        return replace(setting, silences=tuple(one for one in kept if one is not None))

    unit = timed.unit if timed is not None else Unit.BARS
    kinds: list[tuple[str, Silence | None]] = [
        ("none", None),
        ("every", Every(4, unit)),
        ("growing", Growing(4, unit)),
        ("random", RandomSilence(Fraction(3, 10), unit=unit)),
    ]
    here = {Every: 1, Growing: 2, RandomSilence: 3}.get(type(timed), 0)
    kinds[here] = (kinds[here][0], timed)
    sides = [("both sound", None), *((f"only {one} sounds", Only(one)) for one in SilentSide)]
    return [
        chosen_row("Silent", [(name, swapped(timed, one)) for name, one in kinds], kinds[here][0]),
        *_silence_numbers(timed, lambda new: swapped(timed, new)),
        chosen_row(
            "In a conflict",
            [(name, swapped(side, one)) for name, one in sides],
            "both sound" if side is None else f"only {side.side} sounds",
        ),
    ]


def _silence_numbers(
    silence: Every | Growing | RandomSilence | None, make: Callable[[Silence], Setting]
) -> list[Row[Setting]]:
    if silence is None:
        return []
    units = [(unit.value, make(replace(silence, unit=unit))) for unit in Unit]
    counted = chosen_row("Counted in", units, silence.unit.value)
    if isinstance(silence, Every):
        return [
            _number(silence.number, "Every", 2, lambda n: make(Every(n, silence.unit))),
            counted,
        ]
    if isinstance(silence, Growing):
        return [
            _number(silence.most, "Up to", 1, lambda n: make(Growing(n, silence.unit))),
            counted,
        ]
    percent = number_row(
        "Chance",
        silence.share * 100,
        lambda n: make(replace(silence, share=n / 100)),
        (1, 99),
        by=5,
        note="in 100",
    )
    return [percent, counted]


def _number(value: int, label: str, least: int, make: Callable[[int], Setting]) -> Row[Setting]:
    return number_row(label, value, lambda n: make(int(n)), (least, 99))


# Who plays along.

_USUAL_DRONE = 57
"""A3."""
_DRONES = (21, 96)
"""A0 to C7."""


def _accompaniment_form(drill: Drill) -> SettingForm:
    score, mine = drill.open_score.score, drill.passage.part
    others = [index for index in range(len(score.parts)) if index != mine]

    def rows(setting: Setting) -> list[Row[Setting]]:
        return _accompaniment_rows(setting, others, [part.name for part in score.parts])

    def done(setting: Setting) -> Setting:
        if (font := setting.accompaniment.font) is not None:
            checked_font(font, setting.accompaniment.a)
        return setting_changes.with_others(setting, setting.accompaniment)

    return Form(
        "Who plays along",
        rows,
        lambda setting: accompaniment_told(setting.accompaniment, score),
        lambda setting: accompaniment_in_words(setting.accompaniment, score, mine),
        lambda words, setting: setting_changes.with_accompaniment(
            setting, drill.open_score, drill.passage, words
        ),
        done,
        examples=(
            ("all, plucked", "all others; bowed, plucked or plain"),
            ("viola, drone A3", "one part and a held note"),
            ("all, font my.sf2", "with your SoundFont"),
            ("all, A=415", "the tuning, 415 to 445"),
            (NOBODY, "the click alone"),
        ),
        known=(
            *(score.parts[index].name for index in others),
            *(ALL, NOBODY, "drone ", "font ", *ToneName),
        ),
    )


def _accompaniment_rows(
    setting: Setting, others: Sequence[int], names: Sequence[str]
) -> list[Row[Setting]]:
    here = setting.accompaniment

    def made(accompaniment: Accompaniment) -> Setting:
        return replace(setting, accompaniment=accompaniment)

    def with_parts(parts: set[int]) -> Setting:
        return made(replace(here, parts=tuple(sorted(parts))))

    chosen = set(here.parts)

    def part_row(part: int) -> Row[Setting]:
        return switch_row(names[part], lambda _: with_parts(chosen ^ {part}), is_on=part in chosen)

    rows = [part_row(part) for part in others]
    if len(others) > 1:
        is_everybody = chosen == set(others)
        wanted: set[int] = set() if is_everybody else set(others)
        rows.insert(0, switch_row("All others", lambda _: with_parts(wanted), is_on=is_everybody))
    tones = [(tone.value, made(replace(here, tone=tone))) for tone in ToneName]
    rows.append(chosen_row("Sound", tones, here.tone.value))
    rows.append(
        number_row(
            "Tuning, A =",
            Fraction(here.a),
            lambda a: made(replace(here, a=float(a))),
            (int(LOWEST_A), int(HIGHEST_A)),
        )
    )
    return [*rows, _drone_row(here, made), *_font_rows(here, made)]


def _drone_row(here: Accompaniment, made: Callable[[Accompaniment], Setting]) -> Row[Setting]:
    """Below the lowest note there is none."""
    least, most = _DRONES

    def step(by: int) -> Setting:
        if here.drone is None:
            return made(replace(here, drone=_USUAL_DRONE))
        note = here.drone + by
        return made(replace(here, drone=min(note, most) if note >= least else None))

    drones = "none" if here.drone is None else note_told(here.drone)
    return Row(
        "Drone", drones, step, note="Backspace: none", typed=_drone_typed(here, made), far=12
    )


def _drone_typed(
    here: Accompaniment, made: Callable[[Accompaniment], Setting]
) -> Callable[[str], Setting]:
    from companion.click.synth.tuning import parse_note

    return lambda text: made(replace(here, drone=parse_note(text) if text else None))


def _font_rows(here: Accompaniment, made: Callable[[Accompaniment], Setting]) -> list[Row[Setting]]:
    """Only a font that was typed can be left; one is named in the line."""
    if here.font is None:
        return []
    options = [("none", made(replace(here, font=None))), (here.font.name, made(here))]
    return [chosen_row("SoundFont", options, here.font.name)]


_FORMS = {
    "p": plan_form,
    "w": _layers_form,
    "x": _silences_form,
    "O": _accompaniment_form,
}
