"""What playing costs while notes are shown: processor seconds of the app for each second at
thirty redraws, in a pseudo-terminal that takes all that is sent.

    pytest tests/bench/test_playing.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import os
import select
import time
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders, demo_score
from companion.session.open_score import choose_part, open_for_practice
from companion.tui.screens.drill_screen import LOOKS_A_SECOND
from companion.tui.widgets.passage_lanes import PLAYHEAD
from tests.bench.test_key_seen import Seen

SECONDS = float(os.environ.get("COMPANION_PLAYING", "10"))
COUNT_IN = 6
"""Seconds until the music is surely on."""
SHARE = 0.25
"""Of a core; more would be heard in the fan of a laptop on the stand."""
TO_A_DRILL = [b"\r", b"-", b"-", b"\r"]
"""From the map to bars so few that the playhead is in another column at each look."""


def processor(process: int) -> float:
    """Seconds of all its threads."""
    fields = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def sent_in(seen: Seen, seconds: float) -> bytes:
    """What came in that time."""
    found, end = [], time.perf_counter() + seconds
    while (left := end - time.perf_counter()) > 0:
        if select.select([seen.screen], [], [], left)[0]:
            found.append(os.read(seen.screen, 65536))
    return b"".join(found)


def played(place: Path) -> dict[str, float]:
    """A drill with notes: its redraws a second and the processor's share."""
    folders = Folders(place, place / "cache")
    choose_part(open_for_practice(demo_score(), folders), folders, 0)
    opened = ["-m", "companion", "open", str(demo_score())]
    seen = Seen(opened, {"COMPANION_DATA": str(place), "HOME": str(place)})
    seen.quiet_after(3)
    for key in TO_A_DRILL:
        os.write(seen.screen, key)
        seen.quiet_after(1)
    os.write(seen.screen, b" ")
    sent_in(seen, COUNT_IN)
    before, begun = processor(seen.process), time.perf_counter()
    sent = sent_in(seen, SECONDS)
    used, took = processor(seen.process) - before, time.perf_counter() - begun
    os.kill(seen.process, 9)
    os.waitpid(seen.process, 0)
    os.close(seen.screen)
    redraws = sent.count(PLAYHEAD.encode())
    return {
        "redraws a second": redraws / took,
        "share of a core": used / took,
        "share of a core at 30 redraws": used / max(redraws, 1) * LOOKS_A_SECOND,
        "bytes a second": len(sent) / took,
    }


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processor time is read in /proc")
def test_playing_with_notes_shown_takes_a_quarter_of_a_core(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    """By what a redraw costs: a machine that is too busy for thirty makes it look no cheaper."""
    told = benchmark.pedantic(played, (tmp_path,), rounds=1)  # type: ignore[no-untyped-call]
    benchmark.extra_info |= told
    assert told["redraws a second"] > LOOKS_A_SECOND / 2
    assert told["share of a core at 30 redraws"] <= SHARE
