"""Tapping a passage against its sounding click: when each tap was, in the click's own time.

A tap brings the moment at which it was made. The click's time is asked of the player again and
again meanwhile, so that one moment of one clock can be told in the other, whatever was slow.
"""

from __future__ import annotations

import time
from bisect import bisect_left
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.session.drill import Drill

if TYPE_CHECKING:
    from companion.click.plan.plan import ClickPlan
    from companion.listening.due_times import Due
    from companion.listening.judgement import Judgement
    from companion.listening.taps import Calibration

MINE, THEIRS = "mine", "theirs"
"""The two sides; the left key taps theirs, the right one mine."""
KEYBOARD = "keyboard"
_LOOKS_KEPT = 64
_AFTER = 0.06
"""Seconds after the last tap in which a note is still due: what comes later was not begun."""


class Tapping:
    """Taps from the start of a drill until it stops."""

    def __init__(
        self,
        drill: Drill,
        facing: int,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """`facing` is the part that is theirs; `clock` is the one the taps' moments are of."""
        self.drill = drill
        self.facing = facing
        self._clock = clock
        self._apart: deque[float] = deque(maxlen=_LOOKS_KEPT)
        self._taps: list[tuple[str, float]] = []
        self._due_in: dict[int, Due] = {}

    def look(self) -> None:
        """Compare the two clocks once more; called many times a second while it plays."""
        hearing = self.drill.transport.hearing()
        if hearing is not None and self.drill.state == "playing":
            track, frame = hearing
            self._apart.append(self._clock() - frame / track.click.rate)

    def tap(self, side: str, moment: float) -> None:
        """A side was tapped at a moment of the clock."""
        self._taps.append((side, moment))

    @property
    def count(self) -> int:
        """How many taps there were."""
        return len(self._taps)

    def beats_left(self, wanted: int) -> int:
        """How many beats there are still to come until so many have gone by."""
        beats, now = self._due().beats, self._now()
        return max(0, wanted - bisect_left([beat.seconds for beat in beats], now))

    def calibration(self, beats: int) -> Calibration:
        """How late the taps came on the first so many beats, whichever key was used.

        Raises ListeningError if too few were tapped.
        """
        from companion.listening.taps import calibration

        starts = [beat.seconds for beat in self._due().beats[:beats]]
        return calibration(starts, [at for _, at in self._in_click_time()])

    def judged(self, delay: float) -> Judgement:
        """The taps against the page: both sides against each other, or of one side the notes off
        the beat against those on it. Raises ListeningError if nothing was tapped."""
        from companion.listening.judgement import judgement
        from companion.listening.taps import hear_taps, on_or_off_the_beat

        taps = self._in_click_time()
        until = max((at for _, at in taps), default=0.0) - delay + _AFTER
        due = self._due()
        notes = tuple(note for note in due.notes if note.seconds < until)
        taken = hear_taps(notes, taps, delay)
        beats = tuple(beat for beat in due.beats if beat.seconds < until)
        silent = tuple(bars for bars in due.silent if bars.until < until)
        whole = replace(due, notes=notes, beats=beats, silent=silent)
        sides = {side for side, _ in taps}
        if len(sides) > 1:
            return judgement(taken.heard, whole, reference=THEIRS, lead=taken.lead)
        alone = tuple(
            replace(one, note=replace(one.note, side=on_or_off_the_beat(one.note, beats)))
            for one in taken.heard.notes
        )
        return judgement(replace(taken.heard, notes=alone), whole, lead=taken.lead)

    def _now(self) -> float:
        """Seconds since the first time through began."""
        return self._clock() - self._offset()

    def _in_click_time(self) -> list[tuple[str, float]]:
        from companion.listening.taps import without_repeats

        offset = self._offset()
        sides = dict.fromkeys(side for side, _ in self._taps)
        return [
            (side, at - offset)
            for side in sides
            for at in without_repeats([at for name, at in self._taps if name == side])
        ]

    def _offset(self) -> float:
        """The moment of the clock at which the first time through began."""
        track = self.drill.transport.track
        count_in = float(track.plan.timetable.begin(0)) if track is not None else 0.0
        return (median(self._apart) if self._apart else self._clock()) + count_in

    def _due(self) -> Due:
        """What is due of both sides in the times through that have begun."""
        track = self.drill.transport.track
        if track is None:
            raise AssertionError("nothing was rendered")
        plan = track.plan
        seconds = max(0.0, self._now())
        times = 1 + max(0, plan.timetable.number_at(plan.timetable.begin(0) + round(seconds)))
        if times not in self._due_in:
            self._due_in[times] = self._due_of_both(times, plan)
        return self._due_in[times]

    def _due_of_both(self, times: int, plan: ClickPlan) -> Due:
        from companion.listening.due_times import due_in

        passage = self.drill.passage
        mine = due_in(passage, plan, times)
        notes = [replace(note, side=MINE, is_audible=True) for note in mine.notes]
        if self.facing != passage.part:
            others = due_in(replace(passage, part=self.facing), plan, times)
            notes += (replace(note, side=THEIRS, is_audible=True) for note in others.notes)
        return replace(mine, notes=tuple(sorted(notes, key=lambda note: note.seconds)))


# How late the taps of each keyboard or pad come with each sound device, kept on this computer.


@dataclass(frozen=True, slots=True)
class _Kept:
    delay: float
    spread: float


def kept_calibration(folders: Folders, device: str) -> Calibration | None:
    """What was measured for a keyboard and sound device; None if it was not yet."""
    from companion.listening.taps import Calibration

    found = (kept_json(_place(folders), dict[str, _Kept]) or {}).get(device)
    return None if found is None else Calibration(found.delay, found.spread)


def keep_calibration(folders: Folders, device: str, measured: Calibration) -> None:
    """Keep it. Raises CompanionError if the data folder cannot be written to."""
    kept = kept_json(_place(folders), dict[str, _Kept]) or {}
    keep_json(_place(folders), kept | {device: _Kept(measured.delay, measured.spread)})


def device_name(instrument: str, sound: str) -> str:
    """`keyboard with the system's sound`: what a calibration is kept for."""
    return f"{instrument} with {sound or 'the usual sound'}"


def sides_of_pad(strokes: Iterable[tuple[float, int]]) -> list[tuple[str, float]]:
    """Strokes of a pad as taps: the lower key is theirs, every higher one mine."""
    struck = list(strokes)
    keys = {key for _, key in struck}
    lower = min(keys) if len(keys) > 1 else None
    return [(THEIRS if key == lower else MINE, at) for at, key in struck]


def _place(folders: Folders) -> Path:
    return folders.data / "taps.json"
