"""`companion --plain`: the places of the app as menus of a dialogue.

What a screen shows is what the command of the same name prints, so a menu runs commands, with
the score that is open filled in. Options may be typed as there: `study --all`.
"""

from __future__ import annotations

import argparse
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from shlex import split

from companion.cli.plain_dialogue import Choice, Dialogue, InputEnded, Quit
from companion.cli.plain_drill import practise
from companion.cli.shared_options import ask_places, folders_of
from companion.errors import CompanionError, RequestError
from companion.files.folders import demo_score
from companion.files.score_paths import as_path
from companion.journal.practice_in_progress import left_in_progress, settled
from companion.journal.unsaved_attempts import note_or_keep_unsaved
from companion.library.recent_scores import note_opened, recent_scores
from companion.library.score_locations import score_of_item
from companion.practice.attempt import KEYS, Attempt, Outcome, now, outcome_named
from companion.score.bar_numbers import find_bars
from companion.score.passage import passage
from companion.score.typed_numbers import index_typed
from companion.session.assigned_exercises import assignment_named
from companion.session.drill import Drill, drill_at, open_drill
from companion.session.exercise_drill import drill_of_exercise, playable_drill
from companion.session.open_score import OpenScore, choose_part, open_for_practice, part_meant
from companion.session.suggested_passages import label_of, suggested_passages
from companion.session.todays_plan import (
    DayRequest,
    begin_plan,
    ladder_of_item,
    passage_of_item,
    tempo_of_item,
    today,
)
from companion.wording.drill_sentences import NOT_THROUGH
from companion.wording.log_sentences import OUTCOME_MEANINGS, left_practice_told

_RECENT = 9
"""Scores that the first menu names."""


def converse(args: argparse.Namespace, path: Path | None) -> int:
    """The whole dialogue, until `quit` or the end of input; the exit status."""
    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                signal.signal(getattr(signal, name), lambda number, _: sys.exit(128 + number))
    if hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="replace")
    places = _Places(args)
    try:
        places.ask_what_was_left()
        if path is not None:
            try:
                places.score(path)
            except CompanionError as problem:
                print(problem.sentence())
        places.first()
    except (Quit, InputEnded):
        print("Goodbye.")
    return 0


class _Places:
    """The menus, each with what stands on the screen of its name."""

    def __init__(self, args: argparse.Namespace) -> None:
        self._args = args
        self._folders = folders_of(args)
        self._dialogue = Dialogue()

    def ask_what_was_left(self) -> None:
        """How practice went that ended with the program."""
        for attempt in left_in_progress(self._folders):
            print("The program ended while you practised.")
            print(left_practice_told(attempt))
            for key, outcome in KEYS.items():
                print(f"{key} {outcome.value}: {OUTCOME_MEANINGS[outcome]}")
            while not self._is_settled(attempt):
                pass

    def _is_settled(self, attempt: Attempt) -> bool:
        said = self._dialogue.ask("How did it go? 1 to 4, its word, drop or later")
        if said == "quit":
            raise Quit
        if said == "later":
            return True
        if said != "drop":
            try:
                outcome = outcome_named(said)
            except CompanionError as problem:
                print(problem.sentence())
                return False
            if outcome >= Outcome.HELD and not attempt.repetitions:
                print(f"{NOT_THROUGH} Say 1 or 2.")
                return False
            note_or_keep_unsaved(self._folders, replace(attempt, outcome=outcome))
            print(f"Logged: {outcome.value}.")
        settled(self._folders, attempt)
        return True

    def first(self) -> None:
        """The first menu: scores, and what needs none."""
        choices = [
            Choice("demo", "open the built-in quartet", lambda _: self.score(demo_score())),
            Choice("open", "open a score: open FILE", self._open),
            Choice("recent", "scores opened lately; recent 2 opens one", self._recent),
            Choice("library", "index and search a folder: library FOLDER WORDS", self._named),
            self._command("today", "today's plan", "today", then=self._today),
            Choice("exercises", "assigned, built in, from your teacher", self._exercises),
            self._command("log", "what you practised"),
            self._command("progress", "your weeks"),
            self._command("goals", "goals and their dates", "goal"),
            self._command("habits", "session length, steps, rests"),
            self._command("timer", "timer start, timer stop, timer status"),
            self._command("sound", "sound device and latency"),
            self._command("manual", "how everything works; manual PAGE"),
        ]
        self._dialogue.menu("Companion", choices, last="quit")

    def score(self, path: Path) -> None:
        """The map of a score, and what can be done with it."""
        opened = open_for_practice(path, self._folders)
        note_opened(self._folders, opened, now())
        print(f"{opened.score.title}: {len(opened.score.parts)} parts.")
        self._say_part(opened)
        name = str(path)
        choices = [
            self._command("map", "meters, conflicts, what was assumed", "map", name),
            Choice(
                "part", "which part is yours: part viola", lambda typed: self._part(path, typed)
            ),
            self._command("study", "what pulls, with whom, how to count it", "study", name),
            Choice("passages", "passages to practise", lambda _: self._passages(path)),
            Choice(
                "passage", "bars you choose: passage 13-20", lambda bars: self._bars(path, bars)
            ),
            self._command("progress", "which passages hold", "progress", name),
            self._command("goal", "a tempo to reach: goal --bars 13-20 --tempo 60", "goal", name),
            self._command("settle", "what stays at a meter change", "settle", name),
            self._command("write", "your part as a file: write viola -o viola.pdf", "part", name),
            self._command("today", "today's plan", "today", then=self._today),
            self._command("log", "what you practised of it", "log", "--score", name),
        ]
        self._dialogue.menu("Score", choices)

    def _say_part(self, opened: OpenScore) -> None:
        for number, part in enumerate(opened.score.parts, 1):
            mine = ", yours" if part.id == opened.choices.part else ""
            print(f"{number} {part.name}{mine}")

    def _open(self, typed: str) -> None:
        self.score(as_path(typed or self._dialogue.ask("Which file")))

    def _recent(self, typed: str) -> None:
        found = recent_scores(self._folders)[0][:_RECENT]
        if typed:
            self.score(Path(found[_number(typed, len(found)) - 1].path))
            return
        for number, one in enumerate(found, 1):
            print(f"{number} {one.title}" + (f", {one.composer}" if one.composer else ""))
        print("Type recent and a number." if found else "Nothing was opened yet.")

    def _named(self, typed: str) -> None:
        typed = typed or self._dialogue.ask("Which folder")
        self._run("library", split_words(typed))

    def _part(self, path: Path, typed: str) -> None:
        opened = open_for_practice(path, self._folders)
        if not typed:
            self._say_part(opened)
        chosen = part_meant(opened, typed or self._dialogue.ask("Which is yours"))
        made = choose_part(opened, self._folders, chosen)
        print(f"Yours: {opened.score.parts[chosen].name}. It is remembered for this score.")
        if made.problem is not None:
            print(made.problem.sentence())

    def _mine(self, path: Path) -> tuple[OpenScore, int]:
        """The score and my part of it, asked for once."""
        opened = open_for_practice(path, self._folders)
        if not opened.choices.part:
            self._part(path, "")
            opened = open_for_practice(path, self._folders)
        return opened, part_meant(opened, None)

    def _passages(self, path: Path) -> None:
        opened, part = self._mine(path)
        found = suggested_passages(opened, part)
        for number, one in enumerate(found, 1):
            print(f"{number} bars {label_of(one)}")
        typed = self._dialogue.ask("Which one, by number; Enter for none")
        if typed:
            self._bars(path, label_of(found[_number(typed, len(found)) - 1]))

    def _bars(self, path: Path, bars: str) -> None:
        """A passage: how it is counted, then its menu."""
        opened, part = self._mine(path)
        bars = bars or self._dialogue.ask("Which bars, such as 13-20")
        chosen = passage(opened.clock, part, *find_bars(opened.clock, bars))
        where = [str(path), "--part", chosen.part_name, "--bars", bars]
        self._run("study", where)

        def drill(_: str) -> None:
            self._practise(lambda: open_drill(opened, chosen, self._folders))

        choices = [
            Choice("drill", "practise it against the click", drill),
            self._command("goal", "a tempo to reach: goal --tempo 60 --by friday", "goal", *where),
            self._command("progress", "how it stands, and why", "progress", *where),
            self._command("click", "the click as a file: click -o click.wav", "click", *where),
            self._command("study", "how to count it", "study", *where),
        ]
        self._dialogue.menu(f"Passage {label_of(chosen)}", choices)

    def _practise(self, make: Callable[[], Drill]) -> None:
        practise(self._dialogue, make(), self._folders, with_bell=self._args.bell)

    def _today(self) -> None:
        """What can be done with the plan that was just told."""

        def again(option: str) -> Callable[[str], None]:
            return lambda typed: self._run("today", [option, *split_words(typed)])

        choices = [
            Choice("drill", "practise an item: drill 2", self._item),
            Choice("accept", "accept the plan", again("--accept")),
            Choice("skip", "leave an item out today: skip 2", again("--skip")),
            Choice("replace", "another item instead: replace 2", again("--replace")),
            Choice("move", "item 3 to place 1: move 3 1", again("--move")),
            Choice("minutes", "a plan for other minutes: minutes 20", again("--minutes")),
            Choice("afresh", "a new plan", again("--afresh")),
        ]
        self._dialogue.menu("Today", choices)

    def _item(self, typed: str) -> None:
        shown = today(self._folders, now(), DayRequest())
        typed = typed or self._dialogue.ask("Which item")
        item = shown.plan.items[_number(typed, len(shown.plan.items)) - 1]
        if item.exercise:
            playable = playable_drill(
                assignment_named(self._folders, item.exercise), item.drill, self._folders
            )
            self._practise(lambda: drill_of_exercise(playable, self._folders))
            return
        path = score_of_item(self._folders, item)
        begin_plan(self._folders, shown)
        opened = open_for_practice(path, self._folders)
        chosen = passage_of_item(opened, item)
        tempo = ladder_of_item(chosen, item) or tempo_of_item(chosen, item)
        self._practise(
            lambda: (
                open_drill(opened, chosen, self._folders)
                if tempo is None
                else drill_at(opened, chosen, self._folders, tempo)
            )
        )

    def _exercises(self, _: str) -> None:
        self._run("exercise", ["list"])
        choices = [
            self._command("list", "what is assigned", "exercise", "list"),
            self._command("built-in", "the built-in exercises", "exercise", "list", "--library"),
            self._command("show", "read one: show NAME", "exercise", "show"),
            self._command("take", "into your list: take L7, NAME or FILE", "exercise", "open"),
            Choice("drill", "practise: drill 1, or drill 1 2 for its second drill", self._exercise),
            self._command("close", "off your list: close 1", "exercise", "close"),
            self._command(
                "make", "a fresh one: make --ratio 3:2 -o fresh.toml", "exercise", "make"
            ),
        ]
        self._dialogue.menu("Exercises", choices)

    def _exercise(self, typed: str) -> None:
        which, *number = split_words(typed or self._dialogue.ask("Which exercise")) or [""]
        assignment = assignment_named(self._folders, which)
        drills = len(assignment.exercise.drills)
        wanted = _number(number[0], drills) if number else 1
        playable = playable_drill(assignment, wanted, self._folders)
        print(f"{assignment.exercise.title}, drill {wanted} of {drills}.")
        self._practise(lambda: drill_of_exercise(playable, self._folders))

    def _command(
        self,
        word: str,
        told: str,
        name: str = "",
        *words: str,
        then: Callable[[], None] | None = None,
    ) -> Choice:
        """A choice that runs a command; what is typed after it is added."""

        def do(typed: str) -> None:
            self._run(name or word, [*words, *split_words(typed)])
            if then is not None:
                then()

        return Choice(word, told, do)

    def _run(self, name: str, words: list[str]) -> None:
        """Run a command as its line would; its refusals are sentences."""
        command = import_module(f"companion.cli.{name}_command")
        parser = argparse.ArgumentParser(prog=name, allow_abbrev=False)
        ask_places(parser, None)
        parser.set_defaults(data_dir=self._args.data_dir, player=self._args.player)
        command.arguments(parser)
        parsed: argparse.Namespace | None = None
        with suppress(SystemExit):  # it has said what is wrong, or its help
            sys.stdout.flush()
            parsed = parser.parse_args(words)
        if parsed is not None:
            parsed.is_greeted = True
            command.run(parsed)


def split_words(typed: str) -> list[str]:
    """Words as a shell has them. Raises RequestError for a quote that is not closed."""
    try:
        return split(typed)
    except ValueError:
        raise RequestError("a quotation mark is not closed") from None


def _number(typed: str, most: int) -> int:
    place = index_typed(typed, most)
    if place is None:
        raise RequestError(f"“{typed[:20]}” is not in the list", next=f"Choose 1 to {most}.")
    return place + 1
