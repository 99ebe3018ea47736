"""The tour: on the real screens, a line that names the next key, until a first drill is logged.

A step is done when what it asks for can be seen, by whatever way the player got there. Nothing
is pressed for them; Escape ends it. On a screen that is no part of it the line is not shown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.screen import Screen
from textual.widgets import Static

from companion.tui.screens.choice_screen import ChoiceScreen
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.passage_screen import PassageScreen

AnyScreen = Screen[object]


@dataclass(frozen=True, slots=True)
class Step:
    """One line, the screens it stands on, and how one sees that it was followed."""

    told: str
    screens: tuple[type[object], ...]
    is_done: Callable[[object], bool]


def _at_first_finding(screen: object) -> bool:
    return isinstance(screen, MapScreen) and screen.score_map.bar > 1


def _has_begun(screen: object) -> bool:
    drill = screen.drill if isinstance(screen, DrillScreen) else None
    return drill is not None and drill.state == "playing"


def _on(kind: type[object]) -> Callable[[object], bool]:
    return lambda screen: isinstance(screen, kind)


def _is_slower(screen: object) -> bool:
    drill = screen.drill if isinstance(screen, DrillScreen) else None
    return drill is not None and drill.tempo_source is None


STEPS = (
    Step(
        "One row a part, one column a bar. Press n: the next place where parts pull "
        "against each other.",
        (MapScreen,),
        _at_first_finding,
    ),
    Step(
        "3:2 is three notes in the time of two. Press Enter to practise these bars. "
        "It asks whose part is yours, and remembers it for this score.",
        (MapScreen, ChoiceScreen),
        _on(PassageScreen),
    ),
    Step(
        "Your line above another, on one clock. Press d for the drill.",
        (PassageScreen,),
        _on(DrillScreen),
    ),
    Step(
        "Turn the volume low. Press Space: one bar is counted in, then the passage repeats.",
        (DrillScreen,),
        _has_begun,
    ),
    Step(
        "You hear the beat and both sides. Press ↓ to go slower.",
        (DrillScreen,),
        _is_slower,
    ),
    Step(
        "Tap along with your side, once through. Then press Enter to say how it went.",
        (DrillScreen,),
        _on(OutcomeScreen),
    ),
    Step(
        "What you say here goes into your log; you can delete it there (l, then d). "
        "Press 1 to 4. Esc ends the tour; Esc again skips the question.",
        (OutcomeScreen,),
        _on(DrillScreen),
    ),
    Step(
        "That is the way: map, passage, drill, log. F1 is the manual, ? the keys. "
        "Esc ends the tour.",
        (DrillScreen,),
        lambda _: False,
    ),
)
"""All of it, in order."""


class TourLine(Static):
    """The line, above all else on its screen."""

    DEFAULT_CSS = """
    TourLine {
        height: auto;
        padding: 0 1;
        text-style: reverse;
        &.-over { dock: top; }
    }
    """


class Tour:
    """Where the player is on it."""

    def __init__(self) -> None:
        self._number = 0
        self.is_over = False

    def is_shown_on(self, screen: object) -> bool:
        """Whether its line stands on a screen."""
        return not self.is_over and isinstance(screen, STEPS[self._number].screens)

    def look(self, screen: AnyScreen) -> None:
        """Go on if the step was followed, and show the line that counts now."""
        if not self.is_over and STEPS[self._number].is_done(screen):
            self._number += 1
        lines = list(screen.query(TourLine))
        if not self.is_shown_on(screen):
            for line in lines:
                line.remove()
                screen.call_after_refresh(screen.refresh_bindings)
            return
        told = f"Tour {self._number + 1} of {len(STEPS)}. {STEPS[self._number].told}"
        if not lines:
            classes = "-over" if screen.is_modal else ""
            screen.mount(TourLine(told, markup=False, classes=classes), before=0)
            screen.call_after_refresh(screen.refresh_bindings)  # Escape is the tour's now
        else:
            lines[0].update(told)
