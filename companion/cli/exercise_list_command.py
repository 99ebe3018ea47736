"""`companion exercise open`, `list` and `close`: the student's side."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import Subcommand, ask_json, folders_of, print_json
from companion.exercise.file.exercise_file import read_exercise
from companion.session.assigned_exercises import Assigned, assigned, assignment_named
from companion.session.open_exercise import close_exercise, find_exercise, library, open_exercise
from companion.wording.exercise_sentences import listing_told
from companion.wording.phrases import count_told, day_told


def _ask_open(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", metavar="FILE", help="a pack, an exercise file, or the name of a built-in exercise"
    )
    parser.epilog = (
        "Nothing is kept unless all of it is good; nothing outside your list is touched."
    )


def _open(args: argparse.Namespace) -> int:
    assignment, is_new = open_exercise(find_exercise(args.file), folders_of(args))
    exercise = assignment.exercise
    due = f", due {day_told(exercise.due)}" if exercise.due else ""
    drills = count_told(len(exercise.drills), "drill")
    print(f"{'opened' if is_new else 'in the list already'}: {exercise.title}, {drills}{due}")
    return 0


def _ask_list(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--library", action="store_true", help="the built-in exercises instead")
    ask_json(parser)


def _list(args: argparse.Namespace) -> int:
    if args.library:
        return _library(args)
    listing = assigned(folders_of(args))
    if args.json:
        print_json({"exercises": [_plain(one) for one in listing.assigned]})
        return 0
    for number, one in enumerate(listing.assigned, 1):
        for line in listing_told(number, one, listing.today):
            print(line)
    for trouble in listing.troubles:
        print(trouble.sentence())
    if not (listing.assigned or listing.troubles):
        print("Nothing is assigned. Open an exercise: companion exercise open FILE.")
    return 0


def _library(args: argparse.Namespace) -> int:
    found = [
        (name, read_exercise(path.read_bytes(), path.name).exercise)
        for name, path in library().items()
    ]
    found.sort(key=lambda one: (one[1].level or 0, one[0]))
    if args.json:
        print_json(
            {
                "exercises": [
                    {"name": name, "title": exercise.title, "level": exercise.level}
                    for name, exercise in found
                ]
            }
        )
        return 0
    width = max(len(name) for name, _ in found)
    for name, exercise in found:
        print(f"{exercise.level}  {name.ljust(width)}  {exercise.title}")
    return 0


def _plain(one: Assigned) -> dict[str, object]:
    exercise = one.assignment.exercise
    return {
        "id": one.assignment.id,
        "title": exercise.title,
        "for": exercise.whom,
        "due": exercise.due.isoformat() if exercise.due else None,
        "opened": one.assignment.opened.isoformat(),
        "state": one.state.value,
        "drills": [
            {
                "title": exercise.named(number),
                "score": str(one.assignment.score_of(number)),
                "part": target.part_name,
                "bars": target.bars_label,
                "goal": target.told(),
                "state": progress.state.value,
                "attempts": progress.tries,
                "good_days": progress.good_days,
            }
            for number, (target, progress) in enumerate(
                zip(one.assignment.targets, one.drills, strict=True), 1
            )
        ],
    }


def _ask_close(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("exercise", metavar="EXERCISE", help="its number in the list, or its title")
    parser.epilog = "What the log holds of it stays."


def _close(args: argparse.Namespace) -> int:
    assignment = assignment_named(folders_of(args), args.exercise)
    close_exercise(assignment)
    print(f"closed: {assignment.exercise.title}")
    return 0


WORDS = (
    Subcommand("open", "take an exercise into your list", _ask_open, _open),
    Subcommand("list", "show what is assigned, how far it is, and by when", _ask_list, _list),
    Subcommand("close", "take an exercise off your list", _ask_close, _close),
)
"""Its words."""
