"""A setting typed in words: tempo plan, layers, silences, accompaniment.

Each has more shapes than a screen has room for switches, and fits in half a line. The field
holds what is set now, with examples below; words that mean nothing are refused in place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Footer, Input, Static

from companion.click.words.layer_words import layers_in_words, silences_in_words
from companion.click.words.tempo_words import tempo_in_words
from companion.errors import RequestError
from companion.session import setting_changes
from companion.session.accompaniment import accompaniment_in_words
from companion.session.drill import Drill
from companion.session.settings import Setting


class TypedSettingScreen(ModalScreen[str | None]):
    """Answers with words that `read` accepted, or None after Escape."""

    CSS_PATH = "typed_setting_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]

    def __init__(
        self,
        title: str,
        words: str,
        examples: Sequence[tuple[str, str]],
        read: Callable[[str], object],
    ) -> None:
        """`words` say what is set now; `read` raises RequestError for words that mean nothing."""
        super().__init__()
        self.box_title = title
        self.words = words
        self.examples = examples
        self.problem = ""
        self._read = read

    def compose(self) -> ComposeResult:
        """The field, what can be written there, and what is wrong with it."""
        with Vertical(id="in-words-box"):
            yield Input(self.words, id="in-words")
            yield Static(_listed(self.examples))
            yield Static(id="in-words-error")
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Ready to type over what is set."""
        box = self.query_one("#in-words-box")
        box.border_title = self.box_title
        box.border_subtitle = "Enter sets it"
        self.query_one(Input).focus()
        self.query_one(Input).select_all()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Answer, or say why not and leave what was typed."""
        event.stop()
        try:
            self._read(event.value)
        except RequestError as problem:
            self.problem = problem.sentence()
            self.query_one("#in-words-error", Static).update(Text(f"! {self.problem}"))
        else:
            self.dismiss(event.value)


def _listed(examples: Sequence[tuple[str, str]]) -> Text:
    width = max((len(words) for words, _ in examples), default=0)
    text = Text()
    for words, means in examples:
        text.append(f"{words:<{width}}  ", "bold")
        text.append(f"{means}\n")
    text.rstrip()
    return text


ASKED = ("p", "w", "x", "O")
"""The keys that ask: tempo plan, layers, silences, accompaniment."""


@dataclass(frozen=True, slots=True)
class SettingQuestion:
    """A setting that is typed: the field's title, what is set now, examples, the reader."""

    title: str
    words: str
    examples: tuple[tuple[str, str], ...]
    """(words, what they mean)."""
    read: Callable[[str], Setting]
    """From an answer to a setting. Raises RequestError."""


def question(key: str, drill: Drill) -> SettingQuestion:
    """The question of a key out of ASKED."""
    return _QUESTIONS[key](drill)


def _plan(drill: Drill) -> SettingQuestion:
    setting = drill.setting
    return SettingQuestion(
        "Tempo plan, in felt beats a minute",
        tempo_in_words(setting.ladder or setting.tempo),
        (
            ("60", "one tempo"),
            ("60 to 90 by 4", "a ladder: a step up once it held"),
            ("…, twice each", "twice through on each step before the next"),
            ("…, else back one", "a step back after an attempt that failed (or: from the start)"),
            ("60 to 90 over 8 times", "a ramp without steps"),
            ("60 and 90, twice each", "two alternating tempos"),
            ("as marked    80%", "the score's own tempos, or a share of them"),
        ),
        lambda words: setting_changes.with_plan(drill.setting, words),
    )


def _layers(drill: Drill) -> SettingQuestion:
    names = ", ".join(part.name for part in drill.open_score.score.parts)
    return SettingQuestion(
        "What sounds",
        layers_in_words(drill.setting.layers),
        (
            ("beat, division", "beats and pulses of my meter"),
            ("mine, theirs", "in a conflict, the two sides (both)"),
            ("resultant", "in a conflict, both sides as one rhythm"),
            ("coincidence", "in a conflict, where both sides meet"),
            ("period", "where the groups of a hemiola or displacement begin"),
            ("triplet", "dotted against triplet: the short note with the triplet"),
            ("bar", "the first of each bar"),
            ("rhythm", "what is written in my part"),
            ("rhythm:PART", f"what is written in another ({names})"),
        ),
        lambda words: setting_changes.with_layers_named(
            drill.setting, drill.open_score, drill.passage, words
        ),
    )


def _silences(drill: Drill) -> SettingQuestion:
    return SettingQuestion(
        "Silences of the click",
        silences_in_words(drill.setting.silences),
        (
            ("none", "no silences"),
            ("every 4", "every fourth bar is silent (or: 4 beats, 4 times)"),
            ("growing to 4", "for one bar, then two, three, four"),
            ("random 0.3", "three bars in ten, at random"),
            ("mine only", "in a conflict, my side alone"),
            ("theirs only", "in a conflict, the other side alone"),
            ("every 4, mine only", "both"),
        ),
        lambda words: setting_changes.with_silences(drill.setting, words),
    )


def _accompaniment(drill: Drill) -> SettingQuestion:
    score, mine = drill.open_score.score, drill.passage.part
    names = ", ".join(part.name for index, part in enumerate(score.parts) if index != mine)
    return SettingQuestion(
        "Who plays along",
        accompaniment_in_words(drill.setting.accompaniment, score, mine),
        (
            ("all", f"all others ({names})"),
            ("viola, cello", "these two"),
            ("all, plucked", "how they sound: bowed, plucked or plain"),
            ("all, font my.sf2", "with your SoundFont"),
            ("all, A=415", "the tuning, 415 to 445"),
            ("drone A3", "a held note"),
            ("nobody", "the click alone"),
        ),
        lambda words: setting_changes.with_accompaniment(
            drill.setting, drill.open_score, drill.passage, words
        ),
    )


_QUESTIONS = {"p": _plan, "w": _layers, "x": _silences, "O": _accompaniment}
