"""Small scores on the stand, and a drill whose player keeps the time a test gives it."""

from __future__ import annotations

from pathlib import Path

from companion.files.folders import Folders
from companion.score.model import Score
from companion.score.passage import Passage, passage
from companion.score.readers.opening import Opened
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.open_score import Choices, Stand, stand_with
from companion.sound.player import Deck
from companion.sound.silent_card import SilentCard
from tests.score.written import score_of

RATE = 48000


class Hand:
    """The hand of a clock that moves when it is pushed."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def __call__(self) -> float:
        return self.seconds

    def push(self, seconds: float) -> None:
        self.seconds += seconds


def on_stand(score: Score) -> Stand:
    return stand_with(Opened(score, "ab12", Path("a_study.musicxml")), Choices())


def three_against_two(bars: int = 2) -> Stand:
    """Eighths in 6/8 above eighths in 2/4, and two parts that hold still."""
    return on_stand(
        score_of(
            {
                "Violin I": "6/8 " + " | ".join(["e e e e e e"] * bars),
                "Violin II": "2/4 " + " | ".join(["e e e e"] * bars),
                "Viola": "6/8 " + " | ".join(["rq. q."] * bars),
                "Cello": "2/4 " + " | ".join(["h"] * bars),
            }
        )
    )


def whole(stand: Stand, part: int = 0) -> Passage:
    return passage(stand.clock, part, 1, len(stand.clock.bars))


def folders_in(place: Path) -> Folders:
    return Folders(place, place / "cache")


def silent(hand: Hand) -> Deck:
    """A player without sound that keeps the hand's time."""
    return Deck(SilentCard(RATE, hand))


def drill_of(stand: Stand, folders: Folders, hand: Hand, player: Deck | None = None) -> Drill:
    """The whole score, played by its first part."""
    return Drill(stand, whole(stand), folders, player or silent(hand), clock=hand)


def faster(drill: Drill, by: int) -> None:
    """Want so many beats a minute more."""
    drill.want(setting_changes.at_tempo(drill.setting, drill.bpm + by))
