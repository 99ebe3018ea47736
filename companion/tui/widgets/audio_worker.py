"""Where the drill's sound is made: everything that takes a while, out of the screen's way.

Opening a sound card may take a second and the sound of a long passage a good part of one.
Both happen in worker threads; they answer by messages and touch nothing that is drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual import work
from textual.message import Message
from textual.widget import Widget

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.session.drill import Drill
from companion.session.track import Track
from companion.sound.device_choice import player_for, sound_choice
from companion.sound.player import Player


class AudioWorker(Widget):
    """Makes drills and tracks; shows nothing."""

    DEFAULT_CSS = "AudioWorker { display: none; }"

    @dataclass
    class Ready(Message):
        """The sound card is open and the first track is there."""

        drill: Drill
        track: Track

    @dataclass
    class Rendered(Message):
        """The sound of what was wanted is there."""

        track: Track

    @dataclass
    class Opened(Message):
        """Another player is open."""

        player: Player
        notice: str

    @dataclass
    class Refused(Message):
        """It could not be done."""

        problem: CompanionError

    @work(thread=True)
    def open(self, make: Callable[[], Drill]) -> None:
        """Make a drill and its first track."""
        drill = make()
        try:
            ready = self.Ready(drill, drill.render())
        except CompanionError as problem:
            drill.close()
            self.post_message(self.Refused(problem))
            return
        if not self.post_message(ready):
            drill.close()

    @work(thread=True, exclusive=True)
    def render_sound(self, drill: Drill) -> None:
        """Make the sound of what is wanted now."""
        try:
            self.post_message(self.Rendered(drill.render()))
        except CompanionError as problem:
            self.post_message(self.Refused(problem))

    @work(thread=True)
    def reopen(self, folders: Folders) -> None:
        """Open the sound card that is chosen now."""
        opened = self.Opened(*player_for(sound_choice(folders)))
        if not self.post_message(opened):
            opened.player.close()
