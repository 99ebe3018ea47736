"""How fast a quartet is read, against the general library in the same run.

The reference is `music21.converter.parse` alone, its own cache off, on the same file; our
side is a whole process, `companion map FILE --json`. Run by hand:

    pytest tests/bench -o addopts=--import-mode=importlib
"""

import os
import subprocess
import sys
from ast import literal_eval
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.score.readers import score_source

QUARTETS = ("beethoven/opus132.mxl", "beethoven/opus133.mxl")
"""The corpus's quartets of more than 10,000 notes."""


INSTALLED = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
"""A command that was installed has its bytecode on disk, as the general library has."""


@dataclass(frozen=True)
class Run:
    seconds: float
    """By the clock."""
    kilobytes: int
    processor: float
    """Seconds of all its threads and their children: a busy machine changes them less."""


def corpus(path: str) -> Path:
    package = find_spec("music21")
    assert package is not None and package.origin is not None
    return Path(package.origin).parent / "corpus" / path


LAUNCH = """
import os, subprocess, sys, time
start = time.perf_counter()
child = subprocess.Popen(sys.argv[2:])
_, status, used = os.wait4(child.pid, 0)
told = time.perf_counter() - start, used.ru_maxrss, used.ru_utime + used.ru_stime
os.write(int(sys.argv[1]), repr(told).encode())
sys.exit(os.waitstatus_to_exitcode(status))
"""
"""A small process in between: a child of a large one is told to have had its memory too."""


def run(words: Sequence[str], out: int | None = subprocess.DEVNULL) -> Run:
    told, into = os.pipe()
    launch = [sys.executable, "-S", "-c", LAUNCH, str(into), *words]
    subprocess.run(launch, stdout=out, env=INSTALLED, pass_fds=[into], check=True)
    os.close(into)
    with os.fdopen(told) as answer:
        return Run(*literal_eval(answer.read()))


def best(words: Sequence[str], times: int) -> Run:
    return least([run(words) for _ in range(times)])


def least(runs: Sequence[Run]) -> Run:
    """The least of each figure."""
    return Run(
        min(r.seconds for r in runs),
        min(r.kilobytes for r in runs),
        min(r.processor for r in runs),
    )


PARSE_ALONE = """
import sys, time
from music21 import converter
start, processor = time.perf_counter(), time.process_time()
converter.parse(sys.argv[1], forceSource=True, storePickle=False)
print(time.perf_counter() - start, time.process_time() - processor)
"""

BARE_PARSE = """
import sys
from lxml import etree
etree.parse(sys.argv[1])
"""
"""The XML alone, in a process of its own, as a floor."""


def parse_alone(score: Path) -> Run:
    whole = run([sys.executable, "-c", PARSE_ALONE, str(score)])
    words = [sys.executable, "-c", PARSE_ALONE, str(score)]
    told = [subprocess.check_output(words, text=True).split() for _ in range(2)]
    return Run(
        min(float(seconds) for seconds, _ in told),
        whole.kilobytes,
        min(float(processor) for _, processor in told),
    )


def bare_parse(score: Path, folder: Path) -> Run:
    """The same music as plain XML on the disk."""
    plain = folder / "plain.musicxml"
    plain.write_bytes(score_source.read(score).musicxml)
    return best([sys.executable, "-c", BARE_PARSE, str(plain)], 5)


def map_command(score: Path, data: Path) -> list[str]:
    return [sys.executable, "-m", "companion", "--data-dir", str(data), "map", str(score), "--json"]


@pytest.mark.parametrize("name", QUARTETS)
def test_a_quartet_is_mapped_in_a_tenth_of_the_time_and_half_the_memory(
    name: str, tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    score = corpus(name)
    reference = parse_alone(score)
    colds = [run(map_command(score, tmp_path / str(number))) for number in range(5)]
    cold = least(colds)
    warm = best(map_command(score, tmp_path / "0"), 5)
    bare = bare_parse(score, tmp_path)
    benchmark.extra_info |= {
        "cold_processor_share": cold.processor / reference.processor,
        "warm_processor_share": warm.processor / reference.processor,
        "cold_processor_by_bare_parse": cold.processor / bare.processor,
        "warm_processor_by_bare_parse": warm.processor / bare.processor,
        "reference_s": reference.seconds,
        "cold_share": cold.seconds / reference.seconds,
        "warm_share": warm.seconds / reference.seconds,
        "memory_share": cold.kilobytes / reference.kilobytes,
    }
    benchmark.pedantic(run, (map_command(score, tmp_path / "0"),), rounds=1)  # type: ignore[no-untyped-call]
    assert cold.seconds <= reference.seconds / 10
    assert warm.seconds <= reference.seconds / 20
    assert cold.kilobytes <= reference.kilobytes / 2


def test_reading_grows_with_the_notes_and_no_faster(
    tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    from companion.findings.conflicts import conflicts_of
    from companion.score.laying import lay
    from companion.score.readers.musicxml.reading import read_musicxml
    from tests.bench.longer import repeated

    once = score_source.read(corpus("beethoven/opus59no2/movement1.mxl")).musicxml
    tenfold = repeated(once, 10)

    def seconds(source: bytes) -> float:
        start = perf_counter()
        conflicts_of(lay(read_musicxml(source, "x")))
        return perf_counter() - start

    short = min(seconds(once) for _ in range(5))
    long = min(seconds(tenfold) for _ in range(2))
    benchmark.extra_info["growth"] = long / short
    benchmark.pedantic(seconds, (once,), rounds=1)  # type: ignore[no-untyped-call]
    assert long <= short * 13
