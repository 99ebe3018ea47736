"""The simulation runs, and says the same of the same student.

What it finds is printed by `python -m tests.practice.simulation.table`. These checks keep
the machinery honest; they are about made-up students.
"""

from pathlib import Path

import pytest

from companion.practice.attempt import Bars
from companion.practice.plan.day_plan import ItemKind
from tests.practice.simulation.student import Traces, TwoProcesses
from tests.practice.simulation.table import Outcome, demo_score_open, lived
from tests.practice.simulation.year import CONCERT

FRONT = "front to back, every day from the front"


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    return lived(demo_score_open(tmp_path_factory.mktemp("stand")), "traces", "the plan", 0, 30)


@pytest.mark.parametrize("kind", [TwoProcesses, Traces])
def test_both_students_forget_and_learn_more_from_days_than_from_an_evening(
    kind: type[TwoProcesses] | type[Traces],
) -> None:
    # The spacing effect (Cepeda et al. 2006) has to come out of both models.
    bars = Bars("ab", "P3", 1, 4)
    spread, crammed = kind({bars: 1.0}), kind({bars: 1.0})
    for number in range(12):
        spread.learn(bars, 2.0 * number)
        crammed.learn(bars, 22 + number / 1440)
    assert crammed.reach(bars, 22.01) > spread.reach(bars, 22.01)
    assert spread.reach(bars, 52) > crammed.reach(bars, 52)
    assert spread.reach(bars, 23) > spread.reach(bars, 52)


def test_the_plan_begins_every_passage_before_the_concert(planned: Outcome) -> None:
    assert all(one.last is not None for one in planned.year.standings.values())


def test_the_last_days_are_run_throughs(planned: Outcome) -> None:
    last = planned.year.plans[max(planned.year.plans)]
    assert (CONCERT - max(planned.year.plans)).days <= 3
    assert ItemKind.RUN_THROUGH in {item.kind for item in last.items}


def test_more_passages_hold_than_when_every_day_begins_at_the_front(
    planned: Outcome, tmp_path: Path
) -> None:
    front = lived(demo_score_open(tmp_path), "traces", FRONT, 0, 30)
    assert planned.held[-1] > front.held[-1]


def test_the_same_student_lives_the_same_year(planned: Outcome, tmp_path: Path) -> None:
    again = lived(demo_score_open(tmp_path), "traces", "the plan", 0, 30)
    assert again.held == planned.held
    assert again.year.plans == planned.year.plans
