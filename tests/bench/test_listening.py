"""How fast a take is judged, against its own length; processor seconds.

pytest tests/bench/test_listening.py -o addopts=--import-mode=importlib
"""

from time import process_time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.listening.hearing import hear
from companion.listening.take import Take as Recording
from tests.listening.performing import LACKING, RATE
from tests.listening.takes import SCORED


@pytest.mark.skipif(bool(LACKING), reason=LACKING)
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
