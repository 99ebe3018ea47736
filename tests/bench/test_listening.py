"""How fast a take is judged, against its own length; processor seconds.

pytest tests/bench/test_listening.py -o addopts=--import-mode=importlib
"""

import os
import subprocess
import sys
from pathlib import Path
from time import process_time

import pytest
import soundfile
from pytest_benchmark.fixture import BenchmarkFixture

from companion.listening.hearing import hear
from companion.listening.take import Take as Recording
from tests.findings.real_scores import CORPUS
from tests.listening.performing import (
    LACKING,
    RATE,
    VIOLIN,
    click_of,
    corpus_passage,
    due_of,
    in_a_room,
    performed,
    rendered,
    with_click,
)
from tests.listening.takes import SCORED

pytestmark = pytest.mark.skipif(bool(LACKING), reason=LACKING)


def test_a_take_is_heard_twenty_times_faster_than_it_was_played(
    benchmark: BenchmarkFixture,
) -> None:
    take = SCORED[0]
    recording, due = Recording(take.sound, RATE), take.due

    def once() -> float:
        begin = process_time()
        hear(recording, due, None)
        return process_time() - begin

    share = min(once() for _ in range(3)) / (len(take.sound) / RATE)
    benchmark.extra_info["heard, share of real time"] = share
    benchmark.pedantic(once, rounds=1)  # type: ignore[no-untyped-call]
    assert share <= 1 / 20


def test_the_command_takes_a_thirtieth_of_the_take_and_takes_the_click_out(
    benchmark: BenchmarkFixture, tmp_path: Path
) -> None:
    """The whole process, imports and score included."""
    path = "mozart/k458/movement1.mxl"
    which = corpus_passage(path, 0, 1, 46)
    played = in_a_room(rendered(performed(due_of(which, 92), 7, begins=1.3), VIOLIN), 7)
    wave = with_click(played, click_of(which, 92), 1.3)
    soundfile.write(tmp_path / "take.wav", wave / abs(wave).max() * 0.7, RATE)
    asked = [sys.executable, "-m", "companion", "listen", str(tmp_path / "take.wav")]
    asked += [str(CORPUS / path), "--part", "1", "--bars", "1-46", "--tempo", "92"]
    asked += ["--click", "beat,mine,theirs", "--data-dir", str(tmp_path / "data")]

    def once() -> float:
        child = subprocess.Popen(asked, stdout=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        assert child.returncode == 0
        return used.ru_utime + used.ru_stime

    share = min(once() for _ in range(4)) / (len(wave) / RATE)
    benchmark.extra_info["judged by the command, share of real time"] = share
    benchmark.pedantic(once, rounds=1)  # type: ignore[no-untyped-call]
    assert share <= 1 / 30
