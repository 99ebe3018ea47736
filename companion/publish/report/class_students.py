"""The students of a class: which reports are one student's, and what they say together.

Reports are of one log if they name the same player, or the same name and an attempt in common
(attempts have ids, so logs that were exchanged show). Two logs of one name that share nothing
are two students of that name, or one student's two machines: nobody can tell but the teacher,
so they are kept apart, asked about, and joined if the teacher says so. Reports of the earlier
form name no player and go by the name alone.

Of one log, what the fuller report says of a drill holds, and of a day's minutes the larger
number; minutes of two machines add up. What was noted on a page, which knows of nothing else, is
joined to the rest attempt by attempt.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import msgspec
from msgspec.structs import replace

from companion.exercise.drill_goal import Target, progress
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.practice_day import practice_day
from companion.publish.report.report_file import (
    Report,
    ReportedDrill,
    ReportedExercise,
    ReportedPassage,
    ReportedTempo,
)

ClassPlace = tuple[str, str, int, int]
"""Score digest, part id, first and last bar."""
WELL = frozenset(outcome for outcome in Outcome if outcome >= Outcome.HELD)
"""Outcomes of what held."""
ReportFile = tuple[str, Report]
"""A report with the name of its file."""


@dataclass(slots=True)
class Work:
    """What one student did at one passage."""

    told: ReportedPassage
    """As the latest report tells it."""
    attempts: dict[str, Attempt] = field(default_factory=dict)
    """By id."""

    @property
    def held(self) -> int:
        """Attempts that held."""
        return sum(one.outcome in WELL for one in self.attempts.values())

    @property
    def minutes(self) -> float:
        """Minutes spent in attempts."""
        return sum(one.seconds for one in self.attempts.values()) / 60


@dataclass(slots=True)
class Student:
    """One student of the class."""

    name: str
    """As the latest report has it, with the beginning of the player's id if two have it; the
    file's name if it has none."""
    players: tuple[str, ...] = ()
    """The ids of the student's logs, one for each machine."""
    reports: int = 0
    made: str = ""
    """When the latest was made, ISO 8601."""
    notes: list[str] = field(default_factory=list)
    """What the student wanted to tell, earliest first."""
    minutes: dict[str, float] = field(default_factory=dict)
    """By practice day, ISO 8601."""
    work: dict[ClassPlace, Work] = field(default_factory=dict)
    """By passage."""
    exercises: dict[str, ReportedExercise] = field(default_factory=dict)
    """By the id of the first version."""

    @property
    def attempts(self) -> int:
        """All attempts."""
        return sum(len(one.attempts) for one in self.work.values())

    @property
    def held(self) -> int:
        """Attempts that held."""
        return sum(one.held for one in self.work.values())

    @property
    def states(self) -> Counter[str]:
        """How many passages stand where."""
        return Counter(one.told.state for one in self.work.values() if one.told.state)

    @property
    def done(self) -> int:
        """Exercises whose goal is reached."""
        return sum(one.state == "done" for one in self.exercises.values())

    @property
    def last_day(self) -> str:
        """The last day with practice, ISO 8601; empty without any."""
        return max(self.minutes, default="")


class Answers(msgspec.Struct):
    """What the teacher said of logs of one name, as pairs of players' ids."""

    one_student: list[tuple[str, str]] = []
    two_students: list[tuple[str, str]] = []


@dataclass(frozen=True, slots=True)
class SameName:
    """Two logs of one name that may be one student's or two."""

    name: str
    players: tuple[str, str]


def class_of(
    reports: Iterable[ReportFile], answers: Answers | None = None
) -> tuple[list[Student], list[SameName]]:
    """The students in order of names, and which of them may be one."""
    answers = answers or Answers()
    listed = sorted(reports, key=lambda one: (one[1].made, one[0]))
    logs = _logs(listed)
    people = _people(logs, answers)
    students = [_student(person) for person in people]
    _tell_apart(students)
    students.sort(key=lambda one: one.name.casefold())
    return students, list(_same_names(students, people, answers))


class _Groups:
    """Things that belong together, by number (union–find)."""

    def __init__(self, count: int) -> None:
        self._of = list(range(count))

    def find(self, one: int) -> int:
        """The number its group goes by."""
        while self._of[one] != one:
            self._of[one] = self._of[self._of[one]]
            one = self._of[one]
        return one

    def join(self, one: int, other: int) -> None:
        """Let two be in one group."""
        self._of[self.find(other)] = self.find(one)

    def listed(self) -> Iterator[list[int]]:
        """Every group, in the order of its first member."""
        found: dict[int, list[int]] = defaultdict(list)
        for one in range(len(self._of)):
            found[self.find(one)].append(one)
        yield from found.values()


def _called(report: Report) -> str:
    """A name as it is compared: but for case and spaces."""
    return " ".join(report.name.split()).casefold()


def _logs(listed: Sequence[ReportFile]) -> list[list[ReportFile]]:
    """The reports of each log, in order of time."""
    groups = _Groups(len(listed))
    first: dict[tuple[str, str], int] = {}
    players: dict[str, set[str]] = defaultdict(set)
    for _, report in listed:
        players[_called(report)].add(report.player)
    for number, (_, report) in enumerate(listed):
        called = _called(report)
        keys = [("player", report.player)] if report.player else []
        if called and not report.player:
            keys.append(("name", called))
        if called and len(players[called]) > 1:
            keys += [(called, one.id) for told in report.passages for one in told.attempts]
        for key in keys:
            groups.join(first.setdefault(key, number), number)
    return [[listed[number] for number in group] for group in groups.listed()]


def _people(logs: Sequence[list[ReportFile]], answers: Answers) -> list[list[list[ReportFile]]]:
    """The logs of each student."""
    groups = _Groups(len(logs))
    of_player = {report.player: at for at, log in enumerate(logs) for _, report in log}
    for one, other in answers.one_student:
        if one in of_player and other in of_player:
            groups.join(of_player[one], of_player[other])
    named: dict[str, set[int]] = defaultdict(set)
    for at, log in enumerate(logs):
        named[_called(log[-1][1])].add(groups.find(at))
    for called, same in named.items():
        without = [at for at in same if not any(report.player for _, report in logs[at])]
        if called and len(same) == 2 and without:  # a report from before there were ids
            groups.join(*same)
    return [[logs[at] for at in group] for group in groups.listed()]


def _tell_apart(students: Sequence[Student]) -> None:
    """Give names that several have the beginning of the player's id."""
    named: dict[str, list[Student]] = defaultdict(list)
    for one in students:
        named[one.name.casefold()].append(one)
    for same in named.values():
        ids = [one.players[0] if one.players else "" for one in same]
        length = next(
            n for n in range(4, 65) if n == 64 or len({id_[:n] for id_ in ids}) == len(ids)
        )
        for one, id_ in zip(same, ids, strict=True):
            if len(same) > 1:
                one.name = f"{one.name} ({id_[:length] or 'no id'})"


def _same_names(
    students: Sequence[Student], people: Sequence[list[list[ReportFile]]], answers: Answers
) -> Iterator[SameName]:
    named: dict[str, list[Student]] = defaultdict(list)
    names = {report.player: report for person in people for log in person for _, report in log}
    for one in students:
        if one.players:
            named[_called(names[one.players[0]])].append(one)
    apart = {frozenset(pair) for pair in answers.two_students}
    for called, same in named.items():
        for one, other in combinations(same, 2) if called else ():
            pairs = {frozenset((a, b)) for a in one.players for b in other.players}
            if not pairs & apart:
                players = (one.players[0], other.players[0])
                yield SameName(" ".join(names[players[0]].name.split()), players)


# What the reports of one student say together.


def _student(logs: Sequence[list[ReportFile]]) -> Student:
    file, latest = max((one for log in logs for one in log), key=lambda one: (one[1].made, one[0]))
    players = dict.fromkeys(report.player for log in logs for _, report in log if report.player)
    student = Student(" ".join(latest.name.split()) or f"unnamed ({file})", tuple(players))
    student.made = latest.made
    places: dict[str, ClassPlace] = {}
    for _, report in sorted((one for log in logs for one in log), key=lambda one: one[1].made):
        student.reports += 1
        if report.note and report.note not in student.notes:
            student.notes.append(report.note)
        _add_work(student, report, places)
    for log in logs:
        _add_log(student, [report for _, report in log])
    for report in (report for log in logs for _, report in log if not report.player):
        for one in report.exercises:
            key = one.first or one.id
            student.exercises[key] = _with_attempts(student.exercises[key], student)
    return student


def _add_work(student: Student, report: Report, places: dict[str, ClassPlace]) -> None:
    """Join the passages of a report that was made after those that are in already.

    `places` has the passage of every attempt so far: a corrected exercise moves them.
    """
    for told in report.passages:
        place = (told.score, told.part, told.first, told.last)
        work = student.work.setdefault(place, Work(told))
        if told.state or not work.told.state:  # a page does not know how a passage stands
            work.told = told
        for one in told.attempts:
            before = places.setdefault(one.id, place)
            if before != place:
                del student.work[before].attempts[one.id]
                if not student.work[before].attempts:
                    del student.work[before]
                places[one.id] = place
            work.attempts[one.id] = one


def _add_log(student: Student, reports: Sequence[Report]) -> None:
    """Add the minutes and the exercises of one log."""
    minutes: dict[str, float] = {}
    exercises: dict[str, ReportedExercise] = {}
    for report in reports:
        for day, spent in report.minutes.items():
            minutes[day] = max(spent, minutes.get(day, 0.0))
        for one in report.exercises:
            there = exercises.get(one.first or one.id)
            exercises[one.first or one.id] = _joined(there, one, _fuller) if there else one
    for day, spent in minutes.items():
        student.minutes[day] = student.minutes.get(day, 0.0) + spent
    for id_, one in exercises.items():
        before = student.exercises.get(id_)
        student.exercises[id_] = _joined(before, one, _on_both) if before else one


_STATES = ("assigned", "in progress", "done")


def _joined(
    one: ReportedExercise,
    other: ReportedExercise,
    drill_of: Callable[[ReportedDrill, ReportedDrill], ReportedDrill],
) -> ReportedExercise:
    """An exercise by what two reports say of it; the corrected one if it was corrected."""
    if one.id != other.id or len(one.drills) != len(other.drills):
        return max(other, one, key=lambda each: each.revision)
    return _of_drills(other, [*map(drill_of, one.drills, other.drills)])


def _of_drills(one: ReportedExercise, drills: list[ReportedDrill]) -> ReportedExercise:
    states = [drill.state for drill in drills]
    is_done = states and all(state == "done" for state in states)
    is_tried = any(drill.tries for drill in drills)
    state = "done" if is_done else "in progress" if is_tried else "assigned"
    return replace(one, drills=drills, state=state)


def _fuller(one: ReportedDrill, other: ReportedDrill) -> ReportedDrill:
    """Of one log: what knows of more attempts, or is later."""
    return max(other, one, key=lambda drill: drill.tries)


def _with_attempts(one: ReportedExercise, student: Student) -> ReportedExercise:
    return _of_drills(one, [_by_attempts(drill, student) for drill in one.drills])


def _by_attempts(drill: ReportedDrill, student: Student) -> ReportedDrill:
    """How far a drill is by all attempts that any report has of it, each once."""
    place, aims = (drill.score, drill.part, drill.first, drill.last), drill.aims
    work = student.work.get(place)
    if work is None or aims is None:
        return drill
    goal = Target(
        bars=Bars(*place),
        score_title=drill.score_title,
        part_name=drill.part_name,
        bars_label=drill.label,
        tempo=aims.tempo.exact,
        beat=aims.tempo.beat,
        outcome=aims.outcome,
        times=aims.times,
        days=aims.days,
    )
    found = progress(goal, work.attempts.values(), practice_day)
    if found.tries < drill.tries or found.last is None:  # earlier versions count as well
        return drill
    fastest = found.fastest
    told = replace(
        drill,
        state=found.state.value,
        good_days=found.good_days,
        reached=ReportedTempo(bpm=str(fastest), beat=aims.tempo.beat) if fastest else None,
        last_day=practice_day(found.last.at).isoformat(),
        outcome=found.last.outcome,
    )
    return replace(_on_both(drill, told), tries=found.tries)


def _on_both(one: ReportedDrill, other: ReportedDrill) -> ReportedDrill:
    """Of two machines: how far it is on either."""
    better, less = (one, other) if _far(one) >= _far(other) else (other, one)
    latest = max((one, other), key=lambda drill: drill.last_day or "")
    return replace(
        better,
        tries=one.tries + other.tries,
        reached=max(
            filter(None, (better.reached, less.reached)),
            key=lambda tempo: tempo.exact,
            default=None,
        ),
        last_day=latest.last_day,
        outcome=latest.outcome,
    )


def _far(drill: ReportedDrill) -> tuple[int, int]:
    state = _STATES.index(drill.state) if drill.state in _STATES else 0
    return state, drill.good_days
