"""How fast a click is made, against its own length and a plain loop in the same run.

Ten minutes in stereo at 48 kHz with four layers of 3 against 2. The reference is the plain
way: floating numbers, one voice added at its index after the other, then made whole. Our
side is everything from the passage to the last sample, or to the file. Run by hand:

    pytest tests/bench/test_render.py -o addopts=--import-mode=importlib
"""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.click.export import flac, wav
from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, seconds_at
from companion.click.synth.render import LiveClick, blocks, render
from companion.click.synth.struck_sounds import struck
from tests.click.asking import click, frame, take
from tests.score.written import score

PULLING = take(score(V="6/8 q. q. | q. q.", C="2/4 q q | q q"))
LAYERS = (Layer.BEAT, Layer.DIVISION, Layer.MINE, Layer.THEIRS)
SECONDS, RATE = 600, 48000
VOICES = dict(zip(LAYERS, ("low block", "tick", "stick", "skin"), strict=True))


def ten_minutes() -> ClickPlan:
    planned = click(PULLING, 80, LAYERS, repeat=200)
    assert planned.seconds == SECONDS
    return planned


def fastest(make: Callable[[], object], rounds: int = 5) -> float:
    """Processor seconds on one core, the least of a few."""

    def once() -> float:
        start = process_time()
        make()
        return process_time() - start

    return min(once() for _ in range(rounds))


def plainly(planned: ClickPlan) -> None:
    """A loop that adds each voice at its index."""
    sound = np.zeros((SECONDS * RATE + RATE, 2))
    voices = {layer: struck(voice, RATE)[:, None] * 0.1 for layer, voice in VOICES.items()}
    for stroke in planned.strokes:
        assert isinstance(stroke.layer, Layer)
        voice, at = voices[stroke.layer], frame(planned, stroke.at, RATE)
        sound[at : at + len(voice)] += voice
    np.rint(sound[: SECONDS * RATE] * 32767).astype(np.int16)


def streamed(planned: ClickPlan) -> None:
    for _ in blocks(planned, RATE):
        pass


def test_ten_minutes_are_made_a_thousand_times_faster_than_they_last(
    benchmark: BenchmarkFixture, tmp_path: Path
) -> None:
    planned = ten_minutes()
    sounding = render(planned, RATE)
    took = {
        "plan": fastest(ten_minutes),
        "plain loop": fastest(lambda: plainly(planned)),
        "in one piece": fastest(lambda: render(planned, RATE)),
        "streamed": fastest(lambda: streamed(planned)),
        "copied": fastest(lambda: sounding.copy()),
        "wav": fastest(lambda: wav.write(planned, tmp_path / "a.wav")),
        "wav 24 bits": fastest(lambda: wav.write(planned, tmp_path / "b.wav", bits=24)),
    }
    benchmark.extra_info |= {f"{what}, times real time": SECONDS / s for what, s in took.items()}
    benchmark.extra_info["streamed, share of the plain loop"] = (
        took["streamed"] / took["plain loop"]
    )
    benchmark.extra_info["streamed, times a copy"] = took["streamed"] / took["copied"]
    benchmark.pedantic(streamed, (planned,), rounds=1)  # type: ignore[no-untyped-call]
    assert SECONDS / (took["plan"] + took["streamed"]) >= 1000
    assert SECONDS / (took["plan"] + took["in one piece"]) >= 1000
    assert SECONDS / (took["plan"] + took["wav"]) >= 1000


def test_a_stroke_is_heard_at_its_sample(benchmark: BenchmarkFixture) -> None:
    """Where 600 beats begin in what is rendered, against exact time: a third of a second a beat
    at 181, so that few fall on a sample."""
    planned = click(PULLING, 181, (Layer.BEAT,), repeat=150)
    sounding = np.flatnonzero(np.abs(render(planned, RATE).astype(int)).max(axis=1))
    begins = sounding[np.append(True, np.diff(sounding) > RATE // 20)]
    due = [seconds_at(planned, stroke.at) * RATE for stroke in planned.strokes]
    off = [float(int(begin) - at) for begin, at in zip(begins, due, strict=True)]
    # A struck sound may swell from nothing: what all strokes have in common is no error.
    common = round(sum(off) / len(off))
    error = max(abs(one - common) for one in off)
    benchmark.extra_info["stroke error, samples"] = error
    benchmark.pedantic(streamed, (planned,), rounds=1)  # type: ignore[no-untyped-call]
    assert error <= 0.5


def test_flac_is_packed_many_times_faster_than_it_lasts(
    benchmark: BenchmarkFixture, tmp_path: Path
) -> None:
    pytest.importorskip("soundfile")
    planned = ten_minutes()
    took = fastest(lambda: flac.write(planned, tmp_path / "a.flac"), 2)
    benchmark.extra_info["times real time"] = SECONDS / took
    benchmark.pedantic(streamed, (planned,), rounds=1)  # type: ignore[no-untyped-call]
    assert SECONDS / took >= 200


CHILD = """
import sys
from tests.bench.test_render import LAYERS, PULLING, click, streamed
streamed(click(PULLING, 80, LAYERS, repeat=int(sys.argv[1])))
print(*[line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")])
"""
"""The most memory a process of its own ever held, as Linux tells it."""


def test_three_quarters_of_an_hour_take_no_more_memory_than_a_minute(
    benchmark: BenchmarkFixture,
) -> None:
    def kilobytes(repeat: int) -> int:
        words = [sys.executable, "-c", CHILD, str(repeat)]
        return int(subprocess.check_output(words, text=True, cwd=Path(__file__).parents[2]))

    short, long = kilobytes(20), kilobytes(900)
    benchmark.extra_info |= {"a minute, kilobytes": short, "45 minutes, kilobytes": long}
    benchmark.pedantic(streamed, (ten_minutes(),), rounds=1)  # type: ignore[no-untyped-call]
    assert long - short < 2048


def test_a_block_is_ready_long_before_it_is_heard(benchmark: BenchmarkFixture) -> None:
    """A block of 20 ms, read from a plan of 200 bars that is always somewhere else."""
    long = take(score(V=" | ".join(["6/8 q. q."] * 200), C=" | ".join(["2/4 q q"] * 200)))
    source = LiveClick(click(long, 80, LAYERS, count_in=1), RATE)
    source.read(0, 960)
    took = sorted(
        fastest(lambda at=at: source.read(at, 960), 1)  # type: ignore[misc]
        for at in range(0, 20_000_000, 9_973)
    )
    worst = took[len(took) * 99 // 100]
    benchmark.extra_info["99th percentile, share of the block"] = worst / 0.02
    benchmark.pedantic(source.read, (10**6, 960), rounds=5)  # type: ignore[no-untyped-call]
    assert worst < 0.02 / 5
