"""One unbroken stream of blocks out of sources that are exchanged while it runs.

Stopping a sound card to loop, seek or change tempo leaves a hole, so the stream
never stops: commands are queued from any thread and carried out at the start of
the next block. It is also where silent death is prevented. A sound card's thread
that meets an exception, or a block of the wrong size, simply goes quiet for good;
here every fault becomes a failed next_sound and a block of silence of the right size.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass

import numpy as np

from companion.click.synth.silence_block import silent_samples
from companion.sound.card import ClockMark, NextSound, Turn, failed, marked, turned
from companion.sound.crossfade import Samples, crossfade, fade_frames
from companion.sound.sound_source import Source, piece

PIECE = 240
"""Frames asked of a source at a time. With more than 500 numbers at hand the array library
lets other threads in at every step, and each of them may keep us waiting for five
milliseconds; with fewer, a block is made in one go."""


class BlockStream:
    """Blocks for a sound card. `order` from any thread, `block` from the card's thread only."""

    def __init__(self, rate: int, ahead: BlockMaker | None = None) -> None:
        """Without `ahead` every block is made when it is asked for."""
        self.marks: tuple[ClockMark, ...] = (ClockMark(0, NextSound()),)
        """Exchanged whole, so that other threads always see a consistent one."""
        self.sent = 0
        """Frames handed to the card so far."""
        self._made_ahead = ahead
        self._fade = fade_frames(rate)
        self._next_sound = NextSound()
        self._orders: deque[tuple[Turn, bool]] = deque()
        # Frames already prepared for what comes next: the rest of a fade that did
        # not fit into one block.
        self._seam: Samples = silent_samples(0)

    def order(self, turn: Turn, *, soften: bool) -> None:
        """Change what sounds from the start of the next block on.

        Orders are carried out one after the other, none is lost when several fall
        into one block. With `soften`, sound entered in mid-course is faded in.
        """
        self._orders.append((turn, soften))

    def block(self, count: int) -> Samples:
        """The next `count` frames, shape (count, 2). Never raises."""
        try:
            while self._orders:
                self._obey(*self._orders.popleft())
            block = self._ahead(count)
            self._seam = self._seam[count:]
            self._next_sound = self._next_sound.after(count)
        except Exception as fault:  # noqa: BLE001  a source may raise anything, the card must not
            self._seam = silent_samples(0)
            self._set(failed(self._next_sound, fault))
            block = silent_samples(count)
        self.sent += count
        return block

    def _obey(self, turn: Turn, soften: bool) -> None:
        old = self._tail()
        self._seam = silent_samples(0)
        self._set(turned(self._next_sound, turn))
        self._seam = crossfade(old, self._ahead(self._fade), soften=soften)

    def _tail(self) -> Samples:
        """What the sound being left would have gone on with.

        If even that cannot be read, the order is still carried out: a start forgets
        the failure, any other change keeps it.
        """
        try:
            return self._ahead(self._fade)
        except Exception as fault:  # noqa: BLE001  a source may raise anything
            self._next_sound = failed(self._next_sound, fault)
            return silent_samples(self._fade)

    def _set(self, next_sound: NextSound) -> None:
        self._next_sound = next_sound
        self.marks = marked(self.marks, self.sent, next_sound)

    def _ahead(self, count: int) -> Samples:
        """The next frames as they stand now, without moving on."""
        ready = len(self._seam)
        if not ready:
            return self._read(0, count)
        if count <= ready:
            return self._seam[:count]
        return np.concatenate([self._seam, self._read(ready, count - ready)])

    def _read(self, skip: int, count: int) -> Samples:
        next_sound = self._next_sound.after(skip)
        if next_sound.source is None or not next_sound.moving:
            return silent_samples(count)
        if self._made_ahead is not None:
            ready = self._made_ahead.take(next_sound.source, next_sound.frame, count)
            if ready is not None:
                return ready
        sizes = [min(PIECE, count - done) for done in range(0, count, PIECE)]
        pieces = [
            piece(next_sound.source, next_sound.frame + number * PIECE, size)
            for number, size in enumerate(sizes)
        ]
        return pieces[0] if len(pieces) == 1 else np.concatenate([silent_samples(0), *pieces])


# Sound made ready before a sound card asks for it.


AHEAD_SECONDS = 0.5
"""How much lies ready: a bad moment of a busy computer, many times over."""
STEP_SECONDS = 0.05
"""How much is made at a time; a change is followed after one step at the latest."""
LOOKS_AFTER_SECONDS = 0.02
"""How often it is seen whether there is something to make: once a block or so."""


@dataclass(frozen=True, slots=True, eq=False)
class MadeBlock:
    """A stretch of a source that was made ahead."""

    source: Source
    first: int
    """The frame it begins at."""
    samples: Samples

    @property
    def end(self) -> int:
        """The frame after its last one."""
        return self.first + len(self.samples)

    def has(self, source: Source, frame: int) -> bool:
        """Whether a frame of a source lies in it, or would be its next one."""
        return self.source is source and self.first <= frame <= self.end


class BlockMaker:
    """A thread that makes sound ready, from the moment it is made until it is closed."""

    def __init__(self, rate: int) -> None:
        self._step = round(STEP_SECONDS * rate)
        self._most = round(AHEAD_SECONDS * rate)
        # Both are exchanged whole, by one thread each, so that no lock can keep a card waiting.
        self._wanted: tuple[Source, int] | None = None
        self._ready: MadeBlock | None = None
        self._spoilt: Source | None = None
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="sound-ahead", daemon=True)
        self._thread.start()

    def take(self, source: Source, first: int, count: int) -> Samples | None:
        """Frames of a source, where all of them are ready; what follows is made next.

        Called from the card's thread only. Never waits.
        """
        self._wanted = source, first + count
        ready = self._ready
        if ready is None or not ready.has(source, first) or first + count > ready.end:
            return None
        return ready.samples[first - ready.first : first - ready.first + count]

    def close(self) -> None:
        """End the thread; when this returns it is gone."""
        self._is_over.set()
        self._thread.join()
        self._ready = None

    def _run(self) -> None:
        while not self._is_over.is_set():
            wanted = self._wanted
            if wanted is None or wanted[0] is self._spoilt or not self._make(*wanted):
                self._is_over.wait(LOOKS_AFTER_SECONDS)

    def _make(self, source: Source, frame: int) -> bool:
        """Make one step more, where it is wanted; whether it was."""
        ready = self._ready
        if ready is None or not ready.has(source, frame):
            ready = MadeBlock(source, frame, silent_samples(0))
        if ready.end - frame >= self._most:
            return False
        try:
            more = piece(source, ready.end, self._step)
        except Exception:  # noqa: BLE001  the card's thread will meet the same fault, and tell it
            self._spoilt = source
            return False
        samples = np.concatenate([ready.samples[frame - ready.first :], more])
        self._ready = MadeBlock(source, frame, samples)
        return True
