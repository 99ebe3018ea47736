"""The drill while both hands are busy: seen from the music stand, one pedal, and on to the next."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from pathlib import Path

from textual import work
from textual.message import Message

from companion.click.plan.plan import silent_bars
from companion.errors import CompanionError
from companion.journal.practice_in_progress import forget_in_progress
from companion.practice.attempt import Attempt
from companion.practice.plan.day_plan import Item
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import bar_name
from companion.score.passage import Passage
from companion.session.drill import Drill
from companion.session.lanes import Lanes
from companion.session.open_score import OpenScore
from companion.session.pedal import HELD, Presses
from companion.session.plain_beat import BeatDrill
from companion.session.track import Position, Track
from companion.sound.midi_in import OpenPad, Pad, pad_named, pads
from companion.tui.screens.drill_recording_keys import DrillRecordingKeys
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.app_clock import clock_of
from companion.tui.widgets.drill_status import is_fresh
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.stand_view import StandNow, StandView
from companion.wording.drill_sentences import NOTHING_NEXT, PEDAL_TOLD, coming_told, state_told
from companion.wording.phrases import bpm_told

STAND = "-stand"
"""The class of a screen that is seen from the stand."""
_STEP = 2
"""Beats a minute that a foot goes faster or slower."""
_FEET_A_SECOND = 20


class DrillStandKeys(DrillRecordingKeys):
    """A screen with a drill that can be seen from the stand."""

    open_score: OpenScore
    passage: Passage
    pedal: Pad | None = None
    """Open while it is seen from the stand."""
    _silent_told: tuple[Track | None, int] | None = None

    @dataclass
    class NextFound(Message):
        """What today's plan has next."""

        item: Item | None
        """None if all of it is played."""
        path: Path | None = None
        """Its score."""
        problem: CompanionError | None = None

    def leave_for(self, leave: Callable[[], object]) -> None:
        """Ask how it went, if it was played through, then leave."""

        def go(_: Attempt | None = None) -> None:
            forget_in_progress(self.folders)
            leave()

        if self.drill is None or not self.drill.has_gone_through:
            go()
        else:
            self.app.push_screen(OutcomeScreen(self.drill), callback=go)

    def action_again(self) -> None:
        """Again from the bar that is on."""

    def action_how_did_it_go(self) -> None:
        """Ask how it went."""

    def action_stand(self) -> None:
        """Large figures, or everything in small again."""
        self.toggle_class(STAND)
        if self.has_class(STAND):
            self.open_pedal()
        else:
            self.close_pedal()
        self.look()

    def open_pedal(self) -> None:
        """Of the first MIDI port, if there is one."""
        if self.pedal is None and (found := pads()):
            self.listen_to_pedal(pad_named(found[0]))

    def listen_to_pedal(
        self, open_pad: OpenPad, clock: Callable[[], float] = time.monotonic
    ) -> None:
        """Take orders from a pedal or a pad."""
        try:
            self.pedal = Pad(open_pad, clock)
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self._presses, self._clock = Presses(), clock
        self._feet = self.set_interval(1 / _FEET_A_SECOND, self.hear_pedal)
        self.notice.say(PEDAL_TOLD)

    def close_pedal(self) -> None:
        """Let go of it."""
        if self.pedal is not None:
            self._feet.stop()
            self.pedal.close()
            self.pedal = None

    def hear_pedal(self) -> None:
        """Do what the foot says: in the drill, or in the question how it went."""
        if self.pedal is None:
            return
        came, self.pedal.presses[:] = tuple(self.pedal.presses), ()
        for moment, is_down in came:
            self._presses.came(moment, is_down=is_down)
        said = self._presses.told(self._clock())
        if said is None:
            return
        asks = self.app.screen
        if isinstance(asks, OutcomeScreen):
            asks.action_back() if said == HELD else asks.say_number(said)
        elif self.is_current and said in self._orders:
            self._orders[said]()

    @property
    def _orders(self) -> dict[int, Callable[[], object]]:
        return {
            1: self.action_again,
            2: partial(self.action_faster, -_STEP),
            3: partial(self.action_faster, _STEP),
            4: self.action_next,
            HELD: self.action_how_did_it_go,
        }

    def show_stand(self, drill: Drill, position: Position | None) -> None:
        """Tell the stand what is heard now, if it is shown."""
        if self.query_one(StandView).display:
            lanes = self.query_one(PassageLanes).lanes
            self.query_one(StandView).show(stand_now(drill, position, lanes))

    def mark_silent(self, drill: Drill, lanes: PassageLanes, number: int) -> None:
        """Once for each time through: chance and growing silences fall anew in each."""
        track = drill.transport.track
        told = (track, number)
        if track is not None and told != self._silent_told:
            self._silent_told = told
            lanes.silent = silent_bars(track.plan, number)

    def action_next(self) -> None:
        """On to what today's plan has next; first ask how it went."""
        self.leave_for(self._find_next)

    @work(thread=True, exclusive=True, group="next")
    def _find_next(self) -> None:
        """In a thread: the log is looked through."""
        from companion.library.score_locations import score_of_item
        from companion.session.suggested_passages import bars_of_passage
        from companion.session.todays_plan import DayRequest, begin_plan, next_item, today

        moment = clock_of(self.app)()
        beside = self.open_score if self.open_score.choices.part else None
        found: DrillStandKeys.NextFound
        try:
            shown = today(self.folders, moment, DayRequest(beside=beside))
            item = next_item(shown, bars_of_passage(self.open_score, self.passage))
            path = score_of_item(self.folders, item) if item is not None else None
            begin_plan(self.folders, shown)
        except CompanionError as problem:
            found = self.NextFound(None, None, problem)
        else:
            found = self.NextFound(item, path)
        self.post_message(found)

    def on_drill_stand_keys_next_found(self, event: NextFound) -> None:
        """Open its drill in the place of this one, seen as this one is."""
        if event.problem is not None:
            self.notice.show_error(event.problem)
        elif event.item is None or event.path is None:
            self.notice.say(NOTHING_NEXT)
        elif self.is_current:
            then = partial(self._go_to, event.item)
            app_of(self).read_score(event.path, then, self.notice.show_error)

    def _go_to(self, item: Item, open_score: OpenScore) -> None:
        from companion.session.next_drill import drill_of_item

        try:
            opened, chosen, make = drill_of_item(self.folders, item, open_score)
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        there = self.drill_screen(opened, chosen, make)
        there.set_class(self.has_class(STAND), STAND)
        self.app.switch_screen(there)

    def drill_screen(
        self, open_score: OpenScore, chosen: Passage, make: Callable[[], Drill]
    ) -> DrillStandKeys:
        """A screen with another drill; `DrillScreen` knows how."""
        raise NotImplementedError


def stand_now(drill: Drill, position: Position | None, lanes: Lanes) -> StandNow:
    """What the stand shows: the beat, the bar, the tempo, the notes of the bars that come."""
    chosen, track = drill.passage, drill.transport.track
    bar = position.bar if position else drill.setting.first or chosen.first
    number = position.place.passes if position else 0
    silent = silent_bars(track.plan, number) if track is not None else frozenset()
    beat = position.beat if position else None
    is_plain = isinstance(drill, BeatDrill)  # its one bar is counted, its notes are its beats
    name = bar_name(chosen.clock, chosen.bars[bar - chosen.first])
    return StandNow(
        beat=beat.number if beat else 0,
        is_fresh=position is not None and is_fresh(drill, position),
        bar=str(number + 1) if is_plain else name,
        tempo=bpm_told(Fraction(round(drill.bpm))),
        beat_name=note_name(chosen.beat),
        state=state_told(drill, position),
        is_silent=position is not None and position.time is not None and bar in silent,
        coming=() if is_plain else coming_told(lanes, bar - chosen.first, silent),
    )
