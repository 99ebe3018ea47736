"""What a screen asks of the app, so that two screens that lead to each other need not meet."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, cast, runtime_checkable

from textual.screen import Screen

if TYPE_CHECKING:
    from fractions import Fraction

    from companion.click.plan.tempo_plan import Ladder
    from companion.errors import CompanionError
    from companion.score.passage import Passage
    from companion.session.open_score import OpenScore


class ScoreApp(Protocol):
    """The app, as screens see it."""

    def open_path(self, path: Path) -> None:
        """Open a score on the map, or say on the first screen why it cannot be."""

    def open_progress(self, path: Path) -> None:
        """Show how the player's part of a score goes, or say on the first screen why not."""

    def tell(self, said: str | None) -> None:
        """Say on the first screen what was done elsewhere, if anything was."""

    def read_score(
        self,
        path: Path,
        then: Callable[[OpenScore], object],
        refuse: Callable[[CompanionError], object],
    ) -> None:
        """Open a score for `then`, or tell `refuse` why it cannot be opened."""

    def open_passage(
        self, open_score: OpenScore, passage: Passage, planned: Fraction | Ladder | None = None
    ) -> None:
        """Show a passage; `planned` is what today's plan has for it, in its felt beats."""


@runtime_checkable
class KeepsPractice(Protocol):
    """A screen that may hold practice nobody has rated yet."""

    def keep_practice(self) -> None:
        """Put it on the disk, for the next start to ask about."""

    def on_screen_suspend(self) -> None:
        """Pause the music: nobody is there."""


def app_of(screen: Screen[None]) -> ScoreApp:
    """The app in which a screen is shown."""
    return cast(ScoreApp, screen.app)
