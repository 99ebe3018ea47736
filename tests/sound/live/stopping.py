"""A player closed at every kind of moment: is the device let go, and is every thread gone?

Run as `python -m tests.sound.live.stopping FOLDER` in a home whose sound card is a paced
ear; the ear leaves a file when its device is closed. What was left is printed as JSON.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path

from companion.sound.miniaudio_card import MiniaudioCard
from companion.sound.player import Deck
from tests.sound.music import RATE, noise
from tests.sound.stage import threads

LOOP = noise(9600, seed=5, loop_from=2400)
OTHER = noise(4800, seed=7, loop_from=0)


def until(condition: Callable[[], bool]) -> bool:
    """Let time pass until something is so; whether it came to be."""
    patience = time.monotonic() + 10
    while not condition() and time.monotonic() < patience:
        time.sleep(0.001)
    return condition()


def heard(deck: Deck, frame: int) -> None:
    """Listen up to a frame."""
    assert until(lambda: deck.heard() >= frame)


def nothing(_: Deck) -> None:
    """It was opened and never used."""


def starting(deck: Deck) -> None:
    """It has only just begun."""
    deck.start(LOOP)


def playing(deck: Deck) -> None:
    """Sound is in the card's queue and in the ear."""
    deck.start(LOOP)
    heard(deck, 4000)


def swapping(deck: Deck) -> None:
    """Other music was just put on."""
    playing(deck)
    deck.swap(OTHER, lambda frame: frame)


def pausing(deck: Deck) -> None:
    """It was just held."""
    playing(deck)
    deck.pause()


def resuming(deck: Deck) -> None:
    """It was held and let go again."""
    pausing(deck)
    deck.resume()


def stopping(deck: Deck) -> None:
    """It was just stopped."""
    playing(deck)
    deck.stop()


def failing(deck: Deck) -> None:
    """The music could not go on."""
    playing(deck)
    deck.swap(OTHER, lambda frame: frame // 0)
    assert until(lambda: deck.state == "failed")


MOMENTS = (nothing, starting, playing, swapping, pausing, resuming, stopping, failing)


def main(folder: Path) -> dict[str, list[object]]:
    """Close a player at each moment: [threads left, whether the device is closed]."""
    left: dict[str, list[object]] = {}
    for moment in MOMENTS:
        before = threads()
        (folder / "ear.json").unlink(missing_ok=True)
        deck = Deck(MiniaudioCard(RATE))
        moment(deck)
        deck.close()
        is_closed = until((folder / "ear.json").exists)
        patience = time.monotonic() + 10
        while threads() > before and time.monotonic() < patience:
            time.sleep(0.001)
        left[moment.__name__] = [threads() - before, is_closed]
    return left


if __name__ == "__main__":
    json.dump(main(Path(sys.argv[1])), sys.stdout)
