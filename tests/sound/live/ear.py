"""A paced ear at the end of an ALSA file device: takes sound at its own rate, and misses what
is late.

ALSA's file plugin writes to `|program` instead of a file (alsa-lib documentation, "Plugin:
File"). This program reads 192,000 bytes a second, no more, so that the device keeps time as
a sound card does, and counts how often nothing was there when it was due. The pipe is made
as small as a card's queue (three periods of 25 ms). What it heard and what it missed lies in
FOLDER when the device is closed.
"""

from __future__ import annotations

import array
import fcntl
import json
import os
import sys
import termios
import time
from pathlib import Path

BYTES_A_SECOND = 48000 * 2 * 2
GULP = BYTES_A_SECOND // 100
"""Ten milliseconds."""
QUEUE = 16384
"""Bytes that may wait: 85 ms."""
_SET_PIPE_SIZE = 1031
"""F_SETPIPE_SZ of Linux."""


def waiting() -> int:
    """Bytes in the pipe."""
    count = array.array("i", [0])
    fcntl.ioctl(0, termios.FIONREAD, count)
    return count[0]


def gulp() -> bytes:
    """Ten milliseconds of sound, waiting for it if need be; less at the end."""
    got = b""
    while len(got) < GULP:
        more = os.read(0, GULP - len(got))
        if not more:
            return got
        got += more
    return got


def narrowed() -> bytes:
    """Make the pipe as small as a card's queue; what had to be taken out of it for that."""
    taken = b""
    while True:
        try:
            fcntl.fcntl(0, _SET_PIPE_SIZE, QUEUE)
        except OSError:
            taken += os.read(0, GULP)
        else:
            return taken


def main(folder: Path) -> None:
    """Listen until the device is closed."""
    early = narrowed()
    missed: list[float] = []
    late = 0.0
    with (folder / "heard.raw").open("wb") as kept:
        kept.write(early)
        piece = gulp()
        begun = due = time.monotonic()
        while piece:
            kept.write(piece)
            due += GULP / BYTES_A_SECOND
            time.sleep(max(0.0, due - time.monotonic()))
            late = max(late, time.monotonic() - due)
            is_short = waiting() < GULP
            piece = gulp()
            if is_short and len(piece) == GULP:
                missed.append(round(time.monotonic() - begun, 3))
                due = time.monotonic()
    (folder / "ear.json").write_text(json.dumps({"missed": missed, "latest": round(late, 4)}))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
