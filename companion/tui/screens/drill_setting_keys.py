"""What the keys of the drill do that change its setting: tempo, layers, accompaniment, sound.

A change is checked at once and rendered in a worker thread; meanwhile the music goes on.
"""

from __future__ import annotations

from collections.abc import Callable

from textual.screen import Screen

from companion.click.plan.tempo_plan import Marked, Ramp
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.session import setting_changes
from companion.session.accompaniment import keep_sounding
from companion.session.drill import Drill
from companion.session.settings import Setting
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.setting_forms import setting_form
from companion.tui.screens.sound_screen import SoundScreen
from companion.tui.widgets.audio_worker import AudioWorker
from companion.tui.widgets.notice import Notice
from companion.wording.drill_sentences import (
    LAYER_KEYS,
    NO_LADDER_LEFT,
    NOTHING_TO_UNDO,
    STILL_LOADING,
    plan_left_told,
)


class DrillSettingKeys(Screen[None]):
    """A screen with a drill whose setting is changed by keys; `DrillScreen` has the rest."""

    drill: Drill | None = None
    """None until the sound card is open."""
    refused: CompanionError | None = None
    """Why there will be no drill."""
    folders: Folders

    @property
    def notice(self) -> Notice:
        """The line for messages."""
        return self.query_one(Notice)

    def look(self) -> None:
        """Show what is heard now."""

    def tell_not_ready(self, said: str = STILL_LOADING) -> None:
        """Why a key does nothing while there is no drill yet."""
        if self.refused is not None:
            self.notice.show_error(self.refused)
        else:
            self.notice.say(said)

    def action_faster(self, by: int) -> None:
        """Another tempo, at the same place in the music; a ladder goes on from there."""
        before = self.drill.setting.tempo if self.drill is not None else None
        self._change(
            lambda drill: setting_changes.nudged(drill.setting, drill.bpm, by), is_step=True
        )
        if isinstance(before, (Ramp, Marked)):
            self.notice.say(plan_left_told(before))

    def action_undo(self) -> None:
        """Take back the last change of tempo, plan or click."""
        if self.drill is None:
            self.tell_not_ready()
        elif self.drill.undo():
            self._show_change(self.drill)
        else:
            self.notice.say(NOTHING_TO_UNDO)

    def action_go_on(self) -> None:
        """Go on with the ladder of the last day that climbed."""
        if self.drill is None:
            self.tell_not_ready()
        elif self.drill.go_on():
            self._show_change(self.drill)
        else:
            self.notice.say(NO_LADDER_LEFT)

    def action_layer(self, key: str) -> None:
        """Turn a layer on or off."""
        self._change(lambda drill: setting_changes.toggled(drill.setting, LAYER_KEYS[key]))

    def action_count_in(self) -> None:
        """Another count-in, from the next start on."""
        self._change(lambda drill: setting_changes.with_next_count_in(drill.setting))

    def action_others(self) -> None:
        """Let the others play along, or not."""
        self._change(
            lambda drill: setting_changes.with_others_toggled(
                drill.setting, drill.open_score, drill.passage
            )
        )

    def action_ask(self, key: str) -> None:
        """Open the form of what has more shapes than there are keys."""
        drill = self.drill
        if drill is None:
            self.tell_not_ready()
            return

        def answer(setting: Setting | None) -> None:
            if setting is not None:
                self._change(lambda _: setting)
                if key == "O":
                    self._keep_sounding(drill)

        self.app.push_screen(FormScreen(setting_form(key, drill), drill.setting), answer)

    def _keep_sounding(self, drill: Drill) -> None:
        """So that the next drill's others sound as these do."""
        if not drill.setting.are_others_on:
            return
        try:
            keep_sounding(self.folders, drill.setting.accompaniment)
        except CompanionError as problem:
            self.notice.show_error(problem)

    def _change(self, change: Callable[[Drill], Setting], *, is_step: bool = False) -> None:
        if self.drill is None:
            self.tell_not_ready()
            return
        try:
            self.drill.change(change(self.drill), is_step=is_step)
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self._show_change(self.drill)

    def _show_change(self, drill: Drill) -> None:
        self.notice.clear()
        self.look()
        self.query_one(AudioWorker).render_sound(drill)

    def action_sound(self) -> None:
        """Give the sound card away to be tried out, and take one back afterwards."""
        if self.drill is not None:
            self.drill.release_player()
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
