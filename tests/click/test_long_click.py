"""Three against two through two hundred changes of meter, listened to in the file itself.

Nothing here asks the plan where a stroke is: the places are worked out by hand from the
meters, and the strokes are where silence ends in the samples. A short file is the rule; the
whole hour is written with COMPANION_CLICK_MINUTES=60.

3:2 strikes at 0, 1/3, 1/2 and 2/3 of the beat: J. Schillinger, The Schillinger System of
Musical Composition (1946), Book I.
"""

import os
import sys
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import cycle, islice
from pathlib import Path

from companion.click.export.wav import write
from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan
from companion.click.plan.tempo_plan import Fixed
from companion.rhythm.tempo_relation import Same
from companion.score.laying import lay
from companion.score.passage import passage
from tests.click.asking import wished
from tests.click.listening import onsets_of_long
from tests.score.written import score_of

MINUTES = int(os.environ.get("COMPANION_CLICK_MINUTES", "4"))
RATE = 44100
BPM = Fraction(145, 2)
LAYERS = (Layer.BEAT, Layer.DIVISION, Layer.MINE, Layer.THEIRS)

TURNS = [("6/8", "2/4", 2), ("3/4", "9/8", 3), ("9/8", "3/4", 3)]
TURNS += [("2/4", "6/8", 2), ("12/8", "4/4", 4), ("4/4", "12/8", 4)]
"""(my meter, theirs, beats): in every bar one of us is in threes and the other in twos."""
BARS = 201
"""Two hundred changes of my meter."""
STAYS = [Same.NOTE, Same.NOTE, Same.BEAT, Same.BEAT]
"""What stays at each change. Where the eighth stays, three of them become two: the beat is 2/3
as long, and 3/2 at the next change; where the beat stays it stays."""


def bars() -> list[tuple[str, str, int]]:
    return list(islice(cycle(TURNS), BARS))


def the_click(times: int) -> ClickPlan:
    mine = " | ".join(f"{meter} *" for meter, _, _ in bars())
    theirs = " | ".join(f"{meter} *" for _, meter, _ in bars())
    relations = dict(zip(range(2, BARS + 1), cycle(STAYS), strict=False))
    clock = lay(score_of({"V": mine, "C": theirs}), relations)
    return wished(passage(clock, 0, 1, BARS), Fixed(BPM), layers=LAYERS, repeat=times)


def beats() -> Iterator[tuple[Fraction, Fraction]]:
    """(where it begins, how long it is) of every beat of one time through, in first beats."""
    at, length = Fraction(0), Fraction(1)
    for number, (_, _, count) in enumerate(bars()):
        if number and STAYS[(number - 1) % len(STAYS)] is Same.NOTE:
            length *= Fraction(2, 3) if number % 2 else Fraction(3, 2)
        for _ in range(count):
            yield at, length
            at += length


def exact(times: int) -> Iterator[Fraction]:
    """Every stroke in samples, as a rational number."""
    once = list(beats())
    whole = once[-1][0] + once[-1][1]
    sample = 60 * RATE / BPM
    for number in range(times):
        for at, length in once:
            for share in (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3)):
                yield (whole * number + at + length * share) * sample


def test_every_stroke_is_within_half_a_sample_of_its_exact_place_to_the_end(
    tmp_path: Path,
) -> None:
    once = list(beats())
    minutes = (once[-1][0] + once[-1][1]) / BPM
    times = max(1, round(MINUTES / minutes))
    write(the_click(times), tmp_path / "click.wav", RATE)
    errors = [
        heard - place
        for heard, place in zip(onsets_of_long(tmp_path / "click.wav"), exact(times), strict=True)
    ]
    tell(errors, float(minutes * times))
    assert max(map(abs, errors)) <= Fraction(1, 2)
    assert abs(errors[-1]) <= Fraction(1, 2)
    # No drift: the last thousand are no further off on the whole than the first.
    assert abs(mean(errors[-1000:]) - mean(errors[:1000])) < Fraction(1, 10)


def mean(errors: Sequence[Fraction]) -> Fraction:
    return sum(errors, Fraction(0)) / len(errors)


def tell(errors: Sequence[Fraction], minutes: float) -> None:
    """The table of onset errors, seen with `pytest -s`."""
    rows = [f"{minutes:.1f} minutes, {len(errors)} strokes heard at {RATE} Hz; errors in samples"]
    rows.append(f"{'strokes':>16} {'mean':>8} {'largest':>8}")
    for tenth in range(10):
        part = errors[len(errors) * tenth // 10 : len(errors) * (tenth + 1) // 10]
        where, largest = f"{tenth * 10}–{tenth * 10 + 10} %", max(map(abs, part))
        rows.append(f"{where:>16} {float(mean(part)):8.3f} {float(largest):8.3f}")
    rows.append(f"{'last one':>16} {float(errors[-1]):8.3f}")
    sys.stdout.write("\n" + "\n".join(rows) + "\n")
