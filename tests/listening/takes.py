"""The takes of the table: pieces to develop on, and others that are only scored."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from companion.click.plan.plan import ClickPlan
from companion.listening.due_notes import OFF_THE_BEAT, DueNote
from companion.score.passage import Passage
from tests.listening.performing import (
    CELLO,
    PIZZICATO,
    VIOLA,
    VIOLIN,
    Played,
    Wave,
    click_of,
    corpus_passage,
    due_of,
    in_a_room,
    performed,
    rendered,
    with_click,
)

BEGINS, CLICK_BEGINS = 1.3, 1.3


@dataclass(frozen=True)
class Take:
    """A performance and how it is recorded."""

    path: str
    part: int
    first: int
    last: int
    bpm: int
    program: int
    manner: str
    """`plucked`, `bowed` or `slurred`."""
    room: float = 0.5
    click_db: float | None = None
    drift: float = 0.0
    drops: int = 0
    adds: int = 0
    late: float = 0.0
    """Seconds by which notes off the beat are late."""
    jitter: float = 0.012
    seed: int = 1

    @cached_property
    def name(self) -> str:
        piece = self.path.removesuffix(".mxl").replace("/movement", " ").split("/")[1]
        faults = [f"click {self.click_db:g}"] if self.click_db is not None else []
        faults += [f"drift {self.drift:.0%}"] if self.drift else []
        faults += [f"late {self.late * 1000:.0f}"] if self.late else []
        faults += [f"-{self.drops} +{self.adds}"] if self.drops or self.adds else []
        where = f"{piece}:{self.part + 1} {self.first}-{self.last} @{self.bpm}"
        return " ".join([where, self.manner, *faults])

    @cached_property
    def passage(self) -> Passage:
        return corpus_passage(self.path, self.part, self.first, self.last)

    @cached_property
    def due(self) -> tuple[DueNote, ...]:
        return due_of(self.passage, self.bpm)

    @cached_property
    def click(self) -> ClickPlan:
        return click_of(self.passage, self.bpm)

    @cached_property
    def dropped(self) -> tuple[int, ...]:
        chance = np.random.default_rng(self.seed + 100)
        can = [n for n in range(2, len(self.due) - 2) if self.due[n].is_audible]
        picked: list[int] = []
        for index in chance.permutation(can):
            if len(picked) < self.drops and all(abs(index - one) > 3 for one in picked):
                picked.append(int(index))
        return tuple(sorted(picked))

    @cached_property
    def added(self) -> tuple[int, ...]:
        chance = np.random.default_rng(self.seed + 200)
        long = [
            n
            for n in range(2, len(self.due) - 2)
            if self.due[n].length > 0.3
            and self.due[n].length <= self.due[n + 1].seconds - self.due[n].seconds
            and not {n, n + 1} & {*self.dropped}
        ]
        return tuple(sorted(int(n) for n in chance.permutation(long)[: self.adds]))

    @cached_property
    def played(self) -> list[Played]:
        return performed(
            self.due,
            self.seed,
            begins=BEGINS,
            jitter=self.jitter,
            drift=self.drift,
            late=lambda note: self.late if note.side == OFF_THE_BEAT else 0.0,
            dropped=self.dropped,
            added=self.added,
            slurs=4 if self.manner == "slurred" else 1,
        )

    @cached_property
    def sound(self) -> Wave:
        wave = in_a_room(rendered(self.played, self.program), self.seed, self.room)
        if self.click_db is None:
            return wave
        return with_click(wave, self.click, CLICK_BEGINS, self.click_db)


def _of_piece(
    path: str, bars: dict[int, list[tuple[int, int]]], tempos: list[int], seed: int
) -> list[Take]:
    """Twelve takes of a piece: three instruments, plucked, bowed and slurred, and with faults."""
    instruments = {0: VIOLIN, 1: VIOLIN, 2: VIOLA, 3: CELLO}
    found: list[Take] = []
    for number, part in enumerate(bars):
        for kind in range(4):
            first, last = bars[part][kind % len(bars[part])]
            bpm = tempos[(number + kind) % len(tempos)]
            seed += 1
            plain = Take(path, part, first, last, bpm, instruments[part], "bowed", seed=seed)
            leaks = (None, -24.0)[number % 2]
            found.append(
                (
                    replace(
                        plain, program=PIZZICATO, manner="plucked", click_db=leaks, drops=2, adds=1
                    ),
                    replace(plain, drift=0.05, drops=2, adds=2),
                    replace(plain, manner="slurred", room=0.8, drops=1),
                    replace(
                        plain, manner=("bowed", "slurred")[number % 2], click_db=-24.0, late=0.035
                    ),
                )[kind]
            )
    return found


DEVELOPED = [
    *_of_piece(
        "haydn/opus74no1/movement1.mxl",
        {
            0: [(3, 14), (17, 28), (33, 40), (50, 62)],
            2: [(3, 18), (33, 48), (65, 76), (83, 96)],
            3: [(3, 16), (49, 60), (129, 138), (81, 96)],
        },
        [60, 80, 100, 120],
        10,
    ),
    *_of_piece(
        "mozart/k156/movement1.mxl",
        {
            1: [(33, 62), (65, 92), (113, 144), (1, 32)],
            2: [(49, 76), (81, 110), (1, 30), (113, 144)],
            3: [(33, 60), (97, 124), (15, 44), (145, 176)],
        },
        [120, 144, 108, 160],
        40,
    ),
]
SCORED = [
    *_of_piece(
        "mozart/k458/movement1.mxl",
        {
            0: [(1, 26), (42, 54), (60, 80), (90, 110)],
            2: [(20, 40), (54, 70), (80, 100), (110, 130)],
            3: [(1, 26), (30, 50), (60, 84), (100, 125)],
        },
        [76, 60, 92, 104],
        70,
    ),
    *_of_piece(
        "beethoven/opus18no1/movement1.mxl",
        {
            1: [(1, 30), (40, 56), (60, 84), (90, 110)],
            2: [(1, 30), (49, 70), (80, 100), (110, 130)],
            3: [(1, 28), (30, 48), (57, 78), (85, 105)],
        },
        [88, 100, 72, 116],
        100,
    ),
]
