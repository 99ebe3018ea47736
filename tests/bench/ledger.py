"""The figures that a change may make worse, in one table beside the last accepted ones.

    python -m tests.bench.ledger                   # runs tests/bench, prints the table
    python -m tests.bench.ledger --accept "words"  # and keeps it; the words say how it was measured

Every figure is a ratio of processor seconds in one run, the least of some, or counts samples
or bytes: less is better, and the machine matters little. Nothing fails: a figure more than a
fifth above the accepted one is marked.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

KEPT = Path(__file__).with_name("ledger.json")
WORSE = 1.2

ROWS = {
    "cold map, by the general library's reading": ("opus132", "cold_processor_share"),
    "warm map, by the general library's reading": ("opus132", "warm_processor_share"),
    "cold map, by a bare XML parse": ("opus132", "cold_processor_by_bare_parse"),
    "warm map, by a bare XML parse": ("opus132", "warm_processor_by_bare_parse"),
    "study, by the general library's reading": ("", "study_processor_share"),
    "first screen after ten years, by a bare app's": ("first screen", "paint_by_bare_app"),
    "the demo's map, by a bare app's first paint": ("demo", "paint_by_bare_app"),
    "a quartet's map, by a bare app's first paint": ("quartet", "paint_by_bare_app"),
    "a key on the map, by one in a line of text": ("", "key_by_bare_app"),
    "bytes that a step on a quartet's map sends": ("", "bytes of a step"),
    "bytes that a page of a quartet's map sends": ("", "bytes of a page"),
    "key to changed screen (95 %), by a bare app": ("opus132", "key_95th_by_bare_app"),
    "memory after eight hours, by that after six": ("", "memory after 8 h by 6 h"),
    "memory after eight hours, by that after three": ("", "memory after 8 h by 3 h"),
    "blocks of Python's after eight hours, by three": ("", "Python's blocks after 8 h by 3 h"),
    "playing with notes shown, share of a core": ("", "share of a core at 30 redraws"),
    "rendering a click, by copying it in memory": ("", "streamed, times a copy"),
    "a stroke's largest error, samples": ("", "stroke error, samples"),
    "today on ten years, by reading the log whole": ("", "today_share"),
    "hearing a take, by its length": ("", "heard, share of real time"),
}
"""What is told, the case of the test it comes from if there are several, and its name there."""


def measured() -> dict[str, float]:
    """Each row's figure; rows whose test did not run are left out."""
    with TemporaryDirectory() as folder:
        place = Path(folder) / "bench.json"
        words = [sys.executable, "-m", "pytest", "-q", "-o", "addopts=--import-mode=importlib"]
        words += ["-p", "no:cacheprovider", str(KEPT.parent), f"--benchmark-json={place}"]
        subprocess.run([*words, "--benchmark-columns=min"], check=False)
        benches = json.loads(place.read_text("utf-8"))["benchmarks"]
    found = {}
    for told, (case, name) in ROWS.items():
        for bench in benches:
            if case in bench["name"] and name in bench["extra_info"]:
                found[told] = float(bench["extra_info"][name])
    return found


def table(now: dict[str, float], accepted: dict[str, float]) -> list[str]:
    """A line for each row: now, accepted, and a mark if it is worse by more than a fifth."""
    wide = max(map(len, ROWS))
    lines = [f"{'':{wide}}  {'now':>9}  {'accepted':>9}"]
    for told in ROWS:
        one, before = now.get(told), accepted.get(told)
        mark = "  WORSE" if one and before and one > before * WORSE else ""
        figures = [f"{one:9.3f}" if one is not None else f"{'not run':>9}"]
        figures.append(f"{before:9.3f}" if before is not None else f"{'none':>9}")
        lines.append(f"{told:{wide}}  {'  '.join(figures)}{mark}")
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(description="The figures of tests/bench in one table.")
    parser.add_argument("--accept", metavar="WORDS", help="keep them; how they were measured")
    args = parser.parse_args()
    kept = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {"figures": {}}
    now = measured()
    lines = table(now, kept["figures"])
    if "measured" in kept:
        lines.append(f"accepted: {kept['measured']}")
    sys.stdout.write("\n".join(lines) + "\n")
    if args.accept:
        figures = kept["figures"] | {told: float(f"{figure:.4g}") for told, figure in now.items()}
        kept = {"measured": f"{date.today()}: {args.accept}", "figures": figures}
        KEPT.write_text(json.dumps(kept, indent=2, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()
