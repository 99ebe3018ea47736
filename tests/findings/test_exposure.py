"""How a player is heard in a conflict, in small textures whose notes leave no doubt."""

from fractions import Fraction

import pytest
from msgspec.structs import replace

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.findings.exposure import Exposure, exposure_of, soft_dynamic
from companion.score.laying import lay
from companion.score.model import Mark
from tests.findings.music import heard_conflict, texture
from tests.score.written import TICKS, score

TRIPLETS, EIGHTHS = "e3 e3 e3 e3 e3 e3", "e e e e"


def exposure(part: str, gap: Fraction | None = None, **lines: str) -> Exposure:
    music = texture("2/4", **lines)
    sides = (
        Side(3, tuple(name for name, line in lines.items() if "3" in line)),
        Side(2, tuple(name for name, line in lines.items() if "3" not in line)),
    )
    conflict = Conflict(1, 1, (3, 2), "beat", "rhythm", sides)
    return exposure_of(conflict, heard_conflict(conflict, music).at, music, part, "", gap)


def test_alone_against_two_is_more_exposed_than_one_against_one_or_with_a_companion() -> None:
    alone = exposure("V", V=TRIPLETS, A=EIGHTHS, B=EIGHTHS)
    duel = exposure("V", V=TRIPLETS, A=EIGHTHS)
    together = exposure("V", V=TRIPLETS, W=TRIPLETS, A=EIGHTHS)
    assert (alone.is_alone, alone.against) == (True, ("A", "B"))
    assert not duel.is_alone
    assert together.with_me == together.same_rhythm == ("W",)
    assert alone.rank > duel.rank > together.rank


def test_a_part_that_rests_there_is_no_company() -> None:
    assert exposure("V", V=TRIPLETS, W="re3 re3 re3 re3 re3 re3", A=EIGHTHS).with_me == ()


@pytest.mark.parametrize(
    ("gap", "fast"), [(None, False), (Fraction(1, 4), False), (Fraction(1, 8), True)]
)
def test_fast_is_below_a_fifth_of_a_second_and_never_without_a_tempo(
    gap: Fraction | None, fast: bool
) -> None:
    # Repp, J. Mot. Behav. 35, 2003, 355–370, abstract: 200–250 ms.
    assert exposure("V", gap, V=TRIPLETS, A=EIGHTHS).is_fast is fast


@pytest.mark.parametrize(
    ("marks", "told"),
    [
        ([(1, "dynamic", "pp")], "pp"),
        ([(1, "dynamic", "fp")], "p"),
        ([(1, "dynamic", "p"), (2, "dynamic", "sf")], "p"),
        ([(1, "dynamic", "p"), (2, "dynamic", "mf")], ""),
        ([(1, "dynamic", "p"), (2, "wedge", "crescendo")], ""),
        ([(1, "dynamic", "p"), (2, "words", "cresc. poco a poco")], ""),
        ([(1, "dynamic", "p"), (2, "wedge", "diminuendo")], "p"),
        ([(4, "dynamic", "p")], ""),
        ([], ""),
    ],
)
def test_soft_is_what_the_page_says_and_nothing_has_ended(
    marks: list[tuple[int, str, str]], told: str
) -> None:
    written = score(V="2/4 q q | q q | q q | q q")
    bars = list(written.parts[0].bars)
    for number, kind, text in marks:
        bars[number - 1] = replace(bars[number - 1], marks=(Mark(0, kind, text),))
    clock = lay(replace(written, parts=(replace(written.parts[0], bars=tuple(bars)),)))
    assert soft_dynamic(clock, 0, 3, clock.bars[2].start) == told


def test_a_dynamic_later_in_the_bar_is_not_yet_in_force() -> None:
    written = score(V="2/4 q q")
    late = replace(written.parts[0].bars[0], marks=(Mark(TICKS, "dynamic", "p"),))
    clock = lay(replace(written, parts=(replace(written.parts[0], bars=(late,)),)))
    assert soft_dynamic(clock, 0, 1, Fraction(0)) == ""
    assert soft_dynamic(clock, 0, 1, Fraction(1)) == "p"
