"""Keys by which a drill is wished otherwise: tempo, layers, company, silences, sound card.

A wish is checked at once and made audible in the sound room; meanwhile the music goes on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.screen import Screen

from companion.click.plan.tempo_plan import told
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.session import setting_changes
from companion.session.accompaniment import accompaniment_in_words, keep_sounding
from companion.session.drill import Drill
from companion.session.settings import Setting
from companion.tui.screens.sound_screen import SoundScreen
from companion.tui.screens.typed_setting_screen import TypedSettingScreen
from companion.tui.widgets.audio_worker import AudioWorker
from companion.tui.widgets.notice import Notice
from companion.wording.drill_sentences import LAYER_KEYS


class DrillChanges(Screen[None]):
    """What a screen with a drill on it can be asked for."""

    drill: Drill | None = None
    """None until the sound card is open."""
    folders: Folders

    @property
    def notice(self) -> Notice:
        """Where things are said."""
        return self.query_one(Notice)

    def look(self) -> None:
        """Show what is heard now."""

    def action_faster(self, by: int) -> None:
        """Another tempo, at the same place in the music."""
        self._wish(lambda drill: setting_changes.at_tempo(drill.setting, drill.bpm + by))

    def action_layer(self, key: str) -> None:
        """Turn a layer on or off."""
        self._wish(lambda drill: setting_changes.toggled(drill.setting, LAYER_KEYS[key]))

    def action_count_in(self) -> None:
        """Another count-in, from the next start on."""
        self._wish(lambda drill: setting_changes.with_next_count_in(drill.setting))

    def action_others(self) -> None:
        """Let the others play along, or not."""
        self._wish(
            lambda drill: setting_changes.with_others_toggled(
                drill.setting, drill.open_score, drill.passage
            )
        )

    def action_ask(self, key: str) -> None:
        """Ask in words for what has more shapes than there are keys."""
        drill = self.drill
        if drill is None:
            return
        asked = question(key, drill)

        def answer(words: str | None) -> None:
            if words is not None:
                self._wish(lambda _: asked.read(words))
                if key == "O":
                    self._keep_sounding(drill)

        self.app.push_screen(
            TypedSettingScreen(asked.title, asked.words, asked.examples, asked.read), answer
        )

    def _keep_sounding(self, drill: Drill) -> None:
        """So that the next drill's others sound as these do."""
        if not drill.setting.are_others_on:
            return
        try:
            keep_sounding(self.folders, drill.setting.accompaniment)
        except CompanionError as problem:
            self.notice.complain(problem)

    def _wish(self, change: Callable[[Drill], Setting]) -> None:
        if self.drill is None:
            return
        try:
            self.drill.want(change(self.drill))
        except CompanionError as problem:
            self.notice.complain(problem)
            return
        self.notice.clear()
        self.look()
        self.query_one(AudioWorker).record(self.drill)

    def action_sound(self) -> None:
        """Give the sound card away to be tried out, and take one back afterwards."""
        if self.drill is not None:
            self.drill.let_go_of_sound()
            self.look()
            self.app.push_screen(SoundScreen(self.folders), self._sound_was_chosen)

    def _sound_was_chosen(self, _: bool | None) -> None:
        self.query_one(AudioWorker).reopen(self.folders)

    def on_audio_worker_opened(self, event: AudioWorker.Opened) -> None:
        """Play on that one from the next start on."""
        if self.drill is None:
            event.player.close()
            return
        self.drill.take_player(event.player, event.notice)
        self.notice.say(self.drill.notice)
        self.look()


# What a drill can be asked for in words: the field's title, what is set, examples, the reader.


ASKED = ("p", "w", "x", "O")
"""The keys that ask: tempo plan, layers, silences, company."""


@dataclass(frozen=True, slots=True)
class SettingQuestion:
    """One field."""

    title: str
    """What is asked."""
    words: str
    """What is set now."""
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
        told(setting.ladder or setting.tempo),
        (
            ("60", "one tempo"),
            ("60 to 90 by 4", "a ladder: a step up for each attempt that held"),
            ("…, twice each", "two attempts that held for each step"),
            ("…, else back one", "a step back after one that failed (or: from the start)"),
            ("60 to 90 over 8 times", "a ramp without steps"),
            ("60 and 90, twice each", "two tempos by turns"),
            ("as marked    80%", "the score's own tempos, or a share of them"),
        ),
        lambda words: setting_changes.with_plan(drill.setting, words),
    )


def _layers(drill: Drill) -> SettingQuestion:
    names = ", ".join(part.name for part in drill.open_score.score.parts)
    return SettingQuestion(
        "What sounds",
        setting_changes.layers_in_words(drill.setting.layers),
        (
            ("beat, division", "beats and pulses of my meter"),
            ("mine, theirs", "in a conflict, the two sides (both)"),
            ("resultant", "in a conflict, both sides as one rhythm"),
            ("coincidence", "in a conflict, where both sides meet"),
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
        "Silences: where the click leaves",
        setting_changes.silences_in_words(drill.setting.silences),
        (
            ("none", "it never leaves"),
            ("every 4", "every fourth bar is silent (or: 4 beats, 4 times)"),
            ("growing to 4", "for one bar, then two, three, four"),
            ("random 0.3", "three bars of ten, by chance"),
            ("mine only", "in a conflict, my side alone"),
            ("theirs only", "in a conflict, the other side alone"),
            ("every 4, mine only", "both"),
        ),
        lambda words: setting_changes.with_silences(drill.setting, words),
    )


def _company(drill: Drill) -> SettingQuestion:
    score, mine = drill.open_score.score, drill.passage.part
    names = ", ".join(part.name for index, part in enumerate(score.parts) if index != mine)
    return SettingQuestion(
        "Who plays along",
        accompaniment_in_words(drill.setting.accompaniment, score, mine),
        (
            ("all", f"everybody but me ({names})"),
            ("viola, cello", "these two"),
            ("all, plucked", "how they sound: bowed, plucked or plain"),
            ("all, font my.sf2", "through a SoundFont of yours"),
            ("all, A=415", "the tuning, 415 to 445"),
            ("drone A3", "a note held all the while"),
            ("nobody", "the click alone"),
        ),
        lambda words: setting_changes.with_company(
            drill.setting, drill.open_score, drill.passage, words
        ),
    )


_QUESTIONS = {"p": _plan, "w": _layers, "x": _silences, "O": _company}
