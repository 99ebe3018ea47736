"""A practice session under stress, in a terminal of its own.

The app runs on a real (pseudo) terminal with a drill on a paced sound card. Thirty times a
second everything is painted anew, a quartet is read over and over in the background, and
the tempo is changed every now and then. Run as `python -m tests.sound.live.stage FOLDER
SECONDS CHANGES`; what was measured lies in FOLDER/seen.json.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from textual import work

from companion.files.folders import Folders, demo_score
from companion.score.passage import passage
from companion.score.reader_error import ReadingStopped
from companion.session.background_reading import Reading
from companion.session.drill import Drill
from companion.session.open_score import open_for_practice
from companion.sound.card import ClockMark, NextSound
from companion.sound.crossfade import fade_frames
from companion.sound.device_choice import player_for, sound_choice
from companion.sound.miniaudio_card import MiniaudioCard
from companion.sound.stream import BlockMaker, BlockStream
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen

RATE = 48000
HOUSE = Path(__file__).parents[3]


class Watched(BlockStream):
    """A stream that remembers how long each block took, and every change it carried out."""

    def __init__(self, rate: int, ahead: BlockMaker) -> None:
        super().__init__(rate, ahead)
        self.took: list[tuple[float, int]] = []
        self.begun: list[float] = []
        self.changes: list[ClockMark] = []

    def block(self, count: int) -> Any:  # noqa: ANN401
        begun = time.perf_counter()
        made = super().block(count)
        self.took.append((time.perf_counter() - begun, count))
        self.begun.append(begun)
        return made

    def _set(self, next_sound: NextSound) -> None:
        super()._set(next_sound)
        self.changes.append(ClockMark(self.sent, next_sound))


class Session(CompanionApp):
    """The app with somebody who cannot leave the tempo alone."""

    CSS_PATH = [HOUSE / "companion/tui" / sheet for sheet in CompanionApp.CSS_PATH]

    def __init__(self, folders: Folders, seconds: float, changes: int) -> None:
        super().__init__(folders)
        self.seconds = seconds
        self.changes = changes
        self.frames = 0
        self.changed = 0
        self.readings = 0
        self.faults: list[str] = []
        self._is_over = threading.Event()

    def on_mount(self) -> None:
        open_score = open_for_practice(demo_score(), self.folders)
        drilled = passage(open_score.clock, 3, 13, 20)
        screen = DrillScreen(open_score, drilled, self.folders, make=lambda: self._drill(screen))
        self.practice = screen
        self.push_screen(screen)
        self.set_interval(1 / 30, self._paint)
        self._read_scores()
        self._practise()

    def _drill(self, screen: DrillScreen) -> Drill:
        player, notice = player_for(sound_choice(self.folders))
        assert player.name == "miniaudio", notice
        return Drill(screen.open_score, screen.passage, self.folders, player)

    def _paint(self) -> None:
        self.frames += 1
        self.screen.refresh(layout=False, repaint=True)
        for widget in self.screen.walk_children():
            widget.refresh()

    @work(thread=True)
    def _read_scores(self) -> None:
        package = find_spec("music21")
        assert package is not None and package.origin is not None
        score = Path(package.origin).parent / "corpus/beethoven/opus132.mxl"
        while not self._is_over.is_set():
            cache = self.folders.cache / f"again-{self.readings}"
            try:
                Reading(score, Folders(self.folders.data, cache)).wait(lambda _: None)
            except ReadingStopped:
                return
            self.readings += 1

    @work
    async def _practise(self) -> None:
        import asyncio

        while self.practice.drill is None:
            await asyncio.sleep(0.05)
        drill = self.practice.drill
        self.practice.action_others()
        self.practice.action_start_or_pause()
        draw = np.random.default_rng(1)
        pause = self.seconds / self.changes
        for _ in range(self.changes):
            await asyncio.sleep(float(draw.uniform(0.5, 1.5)) * pause)
            self.practice.action_faster(int(draw.choice([-7, -5, -1, 1, 5, 7])))
            self.changed += 1
            if drill.state != "playing":
                self.faults.append(f"{drill.state}: {drill.notice}")
        await asyncio.sleep(1)
        self._is_over.set()
        self.exit()


def differing(stream: Watched, heard: np.ndarray[Any, Any]) -> tuple[int, int]:
    """(frames compared, frames that differ from the source they were to come from)."""
    fade, compared, wrong = fade_frames(RATE), 0, 0
    ends = [*(mark.card for mark in stream.changes[1:]), stream.sent]
    for mark, end in zip(stream.changes, ends, strict=True):
        next_sound = mark.next_sound
        if next_sound.source is None or not next_sound.moving:
            continue
        skip = 0 if mark.card == 0 else fade
        first, last = mark.card + skip, min(end, len(heard))
        if last > first:
            wanted = next_sound.source.read(next_sound.frame + skip, last - first)
            compared += last - first
            wrong += int((wanted != heard[first:last]).any(axis=1).sum())
    return compared, wrong


def main(folder: Path, seconds: float, changes: int) -> None:
    """Practise, then compare what was heard with what should have been."""
    streams: list[Watched] = []

    def watched(rate: int, ahead: BlockMaker) -> Watched:
        streams.append(Watched(rate, ahead))
        return streams[-1]

    sys.modules[MiniaudioCard.__module__].Stream = watched  # type: ignore[attr-defined]
    before = len(os.listdir("/proc/self/task"))
    session = Session(Folders(folder / "data", folder / "cache"), seconds, changes)
    begun, used = time.monotonic(), time.process_time()
    session.run()
    wall, cpu = time.monotonic() - begun, time.process_time() - used
    assert session.practice.drill is not None
    session.practice.drill.close()
    patience = time.monotonic() + 10
    while not (folder / "ear.json").exists() and time.monotonic() < patience:
        time.sleep(0.05)
    left = sorted(thread.name for thread in threading.enumerate())
    heard = np.fromfile(folder / "heard.raw", "<i2").reshape(-1, 2)
    stream = streams[-1]
    compared, wrong = differing(stream, heard)
    shares = np.array([took / (count / RATE) for took, count in stream.took])
    took = np.array([took for took, _ in stream.took]) * 1000
    seen = {
        **json.loads((folder / "ear.json").read_text()),
        "seconds": round(wall, 1),
        "heard_seconds": round(len(heard) / RATE, 1),
        "cpu_share": round(cpu / wall, 3),
        "frames_painted": session.frames,
        "scores_read": session.readings,
        "tempo_changes": session.changed,
        "changes_carried_out": len(stream.changes),
        "blocks": len(stream.took),
        "block_frames": sorted({count for _, count in stream.took}),
        "block_ms": {
            "median": round(float(np.median(took)), 3),
            "p99": round(float(np.percentile(took, 99)), 3),
            "most": round(float(took.max()), 3),
        },
        "longest_gap_ms": round(float(np.diff(stream.begun).max()) * 1000, 1),
        "share_of_block_at_p99": round(float(np.percentile(shares, 99)), 4),
        "frames_compared": compared,
        "frames_wrong": wrong,
        "faults": session.faults,
        "threads_before": before,
        "threads_after": len(os.listdir("/proc/self/task")),
        "threads_left": left,
    }
    (folder / "seen.json").write_text(json.dumps(seen, indent=1))


if __name__ == "__main__":
    main(Path(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3]))
