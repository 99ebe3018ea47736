"""How soon a key is seen: from the byte written to a pseudo-terminal to the last byte that the
screen changed by, beside a bare app of the same toolkit.

    pytest tests/bench/test_key_seen.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import sys
import termios
import time
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders, demo_score
from companion.score.readers.opening import read_score
from tests.bench.test_app import BARE
from tests.findings.real_scores import CORPUS

KEYS = 200
STILL = 0.06
"""Seconds without a byte after which the screen is as it will be."""
LONG_SCORE = CORPUS / "beethoven/opus132.mxl"


class Seen:
    """A program in a pseudo-terminal of 140 by 40."""

    def __init__(self, words: list[str], surroundings: dict[str, str]) -> None:
        self.process, self.screen = pty.fork()
        if not self.process:
            os.environ.update(surroundings, TERM="xterm-256color", COMPANION_SOUND="silent")
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 140, 0, 0))
            os.execv(sys.executable, [sys.executable, *words])

    def quiet_after(self, still: float) -> float:
        """Read until nothing came for so long; when the last byte came."""
        last = time.perf_counter()
        while select.select([self.screen], [], [], still)[0]:
            os.read(self.screen, 65536)
            last = time.perf_counter()
        return last

    def press(self, keys: bytes) -> float:
        """Seconds until the screen had changed."""
        begun = time.perf_counter()
        os.write(self.screen, keys)
        return max(0.0, self.quiet_after(STILL) - begun)

    def times(self, keys: list[bytes]) -> list[float]:
        """Of every key, in order; the program ends."""
        self.quiet_after(3)
        found = sorted(self.press(key) for key in keys)
        os.kill(self.process, 9)
        os.waitpid(self.process, 0)
        os.close(self.screen)
        return found


@pytest.mark.parametrize("score", [demo_score(), LONG_SCORE], ids=lambda path: path.stem)
def test_a_key_on_the_map_is_seen_at_once(
    tmp_path: Path, benchmark: BenchmarkFixture, score: Path
) -> None:
    folders = Folders(tmp_path, tmp_path / "cache")
    read_score(score, folders.cache)
    ways = [b"\x1b[C", b"\x1b[B", b"n", b"\x1b[C", b"\x1b[A", b"\x1b[D", b"n", b"p"]
    keys = [ways[number % len(ways)] for number in range(KEYS)]
    data = {"COMPANION_DATA": str(tmp_path)}
    opened = ["-m", "companion", "open", str(score)]
    ours = benchmark.pedantic(lambda: Seen(opened, data).times(keys), rounds=1)  # type: ignore[no-untyped-call]
    bare = Seen(["-c", BARE.replace("asyncio.run(main(app))", "app.run()"), "0"], data).times(
        [b"\x1b[D"] * KEYS
    )
    middle, late = KEYS // 2, KEYS * 95 // 100
    benchmark.extra_info |= {
        "key_ms_median": ours[middle] * 1000,
        "key_ms_95th": ours[late] * 1000,
        "bare_ms_95th": bare[late] * 1000,
        "key_95th_by_bare_app": ours[late] / max(bare[late], 0.001),
    }
