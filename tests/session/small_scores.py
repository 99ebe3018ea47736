"""Small open scores, and a drill whose player keeps the time a test gives it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from companion.files.folders import Folders
from companion.practice.attempt import now
from companion.score.model import Score
from companion.score.passage import Passage, passage
from companion.score.readers.opening import Opened
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.open_score import Choices, OpenScore, laid_with_choices
from companion.sound.card import SilentCard
from companion.sound.player import CardPlayer
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


def opened_for_practice(score: Score) -> OpenScore:
    return laid_with_choices(Opened(score, "ab12", Path("a_study.musicxml")), Choices())


def three_against_two(bars: int = 2) -> OpenScore:
    """Eighths in 6/8 above eighths in 2/4, and two parts that hold still."""
    return opened_for_practice(
        score_of(
            {
                "Violin I": "6/8 " + " | ".join(["e e e e e e"] * bars),
                "Violin II": "2/4 " + " | ".join(["e e e e"] * bars),
                "Viola": "6/8 " + " | ".join(["rq. q."] * bars),
                "Cello": "2/4 " + " | ".join(["h"] * bars),
            }
        )
    )


def whole(open_score: OpenScore, part: int = 0) -> Passage:
    return passage(open_score.clock, part, 1, len(open_score.clock.bars))


def folders_in(place: Path) -> Folders:
    return Folders(place, place / "cache")


def silent(hand: Hand) -> CardPlayer:
    """A player without sound that keeps the hand's time."""
    return CardPlayer(SilentCard(RATE, hand))


def drill_of(
    open_score: OpenScore,
    folders: Folders,
    hand: Hand,
    player: CardPlayer | None = None,
    moment: Callable[[], datetime] = now,
) -> Drill:
    """The whole score, played by its first part; `moment` is the time of day."""
    card = player or silent(hand)
    return Drill(open_score, whole(open_score), folders, card, clock=hand, moment=moment)


def faster(drill: Drill, by: int) -> None:
    """Want so many beats a minute more."""
    drill.request(setting_changes.at_tempo(drill.setting, drill.bpm + by))
