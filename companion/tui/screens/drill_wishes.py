"""Keys by which a drill is wished otherwise: tempo, layers, company, silences, sound card.

A wish is checked at once and made audible in the sound room; meanwhile the music goes on.
"""

from __future__ import annotations

from collections.abc import Callable

from textual.screen import Screen

from companion.desk import wishes
from companion.desk.drill import Drill
from companion.desk.drill_in_words import LAYER_KEYS
from companion.desk.folders import Folders
from companion.desk.setting import Setting
from companion.desk.sounding import keep_sounding
from companion.errors import CompanionError
from companion.tui.screens.drill_questions import question
from companion.tui.screens.in_words import InWordsScreen
from companion.tui.screens.sound import SoundScreen
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.sound_room import SoundRoom


class DrillWishes(Screen[None]):
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
        self._wish(lambda drill: wishes.at_tempo(drill.setting, drill.bpm + by))

    def action_layer(self, key: str) -> None:
        """Turn a layer on or off."""
        self._wish(lambda drill: wishes.toggled(drill.setting, LAYER_KEYS[key]))

    def action_count_in(self) -> None:
        """Another count-in, from the next start on."""
        self._wish(lambda drill: wishes.with_next_count_in(drill.setting))

    def action_others(self) -> None:
        """Let the others play along, or not."""
        self._wish(
            lambda drill: wishes.with_others_toggled(drill.setting, drill.stand, drill.passage)
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
            InWordsScreen(asked.title, asked.words, asked.examples, asked.read), answer
        )

    def _keep_sounding(self, drill: Drill) -> None:
        """So that the next drill's others sound as these do."""
        if not drill.setting.are_others_on:
            return
        try:
            keep_sounding(self.folders, drill.setting.company)
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
        self.query_one(SoundRoom).record(self.drill)

    def action_sound(self) -> None:
        """Give the sound card away to be tried out, and take one back afterwards."""
        if self.drill is not None:
            self.drill.let_go_of_sound()
            self.look()
            self.app.push_screen(SoundScreen(self.folders), self._sound_was_chosen)

    def _sound_was_chosen(self, _: bool | None) -> None:
        self.query_one(SoundRoom).reopen(self.folders)

    def on_sound_room_opened(self, event: SoundRoom.Opened) -> None:
        """Play on that one from the next start on."""
        if self.drill is None:
            event.player.close()
            return
        self.drill.take_player(event.player, event.notice)
        self.notice.say(self.drill.notice)
        self.look()
