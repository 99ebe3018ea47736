"""Where the scenes are played: a process of its own with a sound card made of a file.

ALSA reads its configuration once a process, so real playing cannot share one with
the rest of the tests. Run as `python -m tests.sound.stage miniaudio FOLDER`; what was
seen is printed as JSON, what was heard lies in FOLDER/<scene>/, one file for each
time the device was opened.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
import traceback
from collections.abc import Callable
from pathlib import Path

from companion.sound.card import Card, SilentCard
from companion.sound.player import CardPlayer
from companion.sound.sound_source import Source
from tests.sound.music import RATE, Gated

Seen = dict[str, object]
Scene = Callable[["Stage"], Seen]


class Stage:
    """A player with the card it plays on, and ways to wait for what it does."""

    def __init__(self, backend: str) -> None:
        self.backend = backend
        self._hand = 0.0
        self.card = self._card()
        self.player = CardPlayer(self.card)

    def _card(self) -> Card:
        if self.backend == "miniaudio":
            from companion.sound.miniaudio_card import MiniaudioCard

            return MiniaudioCard(RATE)
        if self.backend == "simpleaudio":
            from companion.sound.simpleaudio_card import SimpleaudioCard

            return SimpleaudioCard(RATE, stretch=0.25)
        return SilentCard(RATE, clock=lambda: self._hand)

    def until(self, condition: Callable[[], bool]) -> None:
        """Let time pass until something is so; silence is told by hand what time it is."""
        patience = time.monotonic() + 10
        while not condition():
            assert time.monotonic() < patience, "waited in vain"
            if self.backend == "silent":
                self._hand += 0.001
            else:
                time.sleep(0.001)

    def playing_up_to(self, source: Source, frame: int) -> Callable[[], None]:
        """Start, and come back when `frame` is near; call the result to let it go on."""
        if self.backend != "miniaudio":
            self.player.start(source)
            self.until(lambda: self.player.heard() >= frame)
            return lambda: None
        gate = Gated(source, frame)
        self.player.start(gate)
        assert gate.reached.wait(10)
        return gate.opened.set

    def settled(self) -> None:
        """Wait until the last change ordered is heard."""
        moving = self.player.state == "playing"
        self.until(lambda: self.card.marks[-1].next_sound.moving == moving)
        self.until(lambda: self.card.now() >= self.card.marks[-1].card)


def threads() -> int:
    """Threads of this process, those of the C libraries included."""
    tasks = Path("/proc/self/task")
    return len(os.listdir(tasks)) if tasks.exists() else threading.active_count()


def perform(scene: Scene, backend: str, folder: Path) -> Seen:
    """Play one scene on a fresh player and put what was recorded aside."""
    before = threads()
    stage = Stage(backend)
    try:
        seen = scene(stage)
        stage.player.close()
        stage.until(lambda: threads() <= before)
    except Exception:  # noqa: BLE001  reported by the test that asks for this scene
        seen = {"fault": traceback.format_exc()}
    finally:
        stage.player.close()
    kept = folder / scene.__name__
    kept.mkdir()
    for number, take in enumerate(sorted(folder.glob("take.raw*"))):
        take.rename(kept / f"{number:02}.raw")
    return seen


def main(backend: str, folder: Path) -> None:
    """Play every scene and print what was seen."""
    from tests.sound import scenes

    seen = {scene.__name__: perform(scene, backend, folder) for scene in scenes.on(backend)}
    json.dump(seen, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
