"""`companion exercise WORD`: write, check, show, send and open exercises, and see how far."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from os.path import exists
from pathlib import Path

from companion.cli import exercise_new_command
from companion.cli.shared_options import (
    Subcommand,
    ask_instrument,
    ask_json,
    ask_words,
    folders_of,
    instrument_asked,
    print_json,
    word_asked,
)
from companion.errors import CompanionError
from companion.exercise.file.faults import ExerciseError
from companion.exercise.fitting import Fitting, fitted, fitting, is_for, range_of_exercise
from companion.files.folders import Folders
from companion.files.score_paths import as_path
from companion.session.assigned_exercises import (
    Assigned,
    assigned,
    assignment_named,
    exercise_file_named,
)
from companion.session.open_exercise import (
    BuiltIn,
    built_in_exercises,
    check_exercise,
    close_exercise,
    find_exercise,
    format_page,
    open_exercise,
)
from companion.session.write_exercise import file_name_of, write_pack
from companion.wording.exercise_sentences import (
    exercise_told,
    fitting_told,
    listing_told,
    range_told,
    taken_told,
    target_told,
)
from companion.wording.phrases import counted, day_told, written_told

# `check`, `show`, `format` and `pack`: what a teacher does with a file.


_FILE = (
    "an exercise file, a pack, or an exercise by its number (7 in your list, L7 in the library), "
    "its name or its title"
)


def _ask_check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="+", help=_FILE)
    parser.epilog = (
        "Every mistake is shown as file:line:column. Scores are opened, patterns added up, "
        "parts and bars found, and what a drill says it shows is looked for in its notes. "
        "Exit status 1 if there is any fault."
    )


def _check(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    found = [list(_faults(typed, folders)) for typed in args.files]
    for lines in found:
        for line in lines:
            print(line)
    if not any(found):
        checked = counted(len(args.files), "exercise")
        print(f"{checked} checked, nothing wrong.")
    return int(any(found))


def _faults(typed: str, folders: Folders) -> Iterator[str]:
    try:
        check_exercise(exercise_file_named(folders, typed), folders)
    except ExerciseError as error:
        for line in error.lines():
            yield line.replace(error.name, typed, 1)
    except CompanionError as error:
        yield error.sentence() if error.where else f"{typed}: {error.sentence()}"


def _ask_show(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help=_FILE)
    ask_instrument(parser)


def _show(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    path = exercise_file_named(folders, args.file)
    for line in exercise_told(check_exercise(path, folders, instrument_asked(args))):
        print(line)
    return 0


def _ask_pack(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help=_FILE)
    parser.add_argument(
        "-o", "--out", metavar="OUT", help="where to; default: next to FILE, ending in .exercise"
    )
    ask_instrument(parser)
    parser.add_argument(
        "--corrects", metavar="PACK", help="the earlier pack, if it has another name or title"
    )
    parser.add_argument(
        "--new", action="store_true", help="another exercise, though OUT is there already"
    )
    parser.epilog = (
        "One file with the exercise and its scores, to send to a student. If the pack is there "
        "already, this is its next version: opened, it replaces the earlier one in the "
        "student's list, and the attempts stay. Its checksums show damage on the way; they do "
        "not prove who sent it."
    )


def _pack(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    path = exercise_file_named(folders, args.file)
    checked = check_exercise(path, folders, instrument_asked(args))
    made, revision = write_pack(
        checked,
        _pack_file(args, path, checked.file.exercise.title),
        as_path(args.corrects) if args.corrects else None,
        is_another=args.new,
    )
    scores = len(checked.files) - 1
    held = f", with {counted(scores, 'score')}" if scores else ""
    version = f", version {revision.number}" if revision.number > 1 else ""
    print(written_told(made, f"{checked.file.exercise.title}{held}{version}"))
    return 0


def _pack_file(args: argparse.Namespace, path: Path, title: str) -> Path:
    """Where the pack goes: next to a file, but for an exercise of a list or the library here."""
    if args.out:
        return as_path(args.out)
    return path.with_suffix("") if exists(as_path(args.file)) else Path(file_name_of(title))


def _ask_nothing(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "Every key with examples, for writing a file by hand."


def _format(args: argparse.Namespace) -> int:
    print(format_page(), end="")
    return 0


# `open`, `list` and `close`: the student's side.


def _ask_open(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file",
        metavar="FILE",
        help="a pack, an exercise file, or a built-in exercise by its number (L7), name or title",
    )
    ask_instrument(parser)
    parser.epilog = "If anything in it is wrong, nothing is opened."


def _open(args: argparse.Namespace) -> int:
    assignment, taken = open_exercise(
        find_exercise(args.file), folders_of(args), instrument_asked(args)
    )
    exercise = assignment.exercise
    due = f", due {day_told(exercise.due)}" if exercise.due else ""
    drills = counted(len(exercise.drills), "drill")
    print(f"{taken_told(taken).capitalize()}: {exercise.title}, {drills}{due}.")
    return 0


def _ask_list(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--library", action="store_true", help="the built-in exercises instead")
    ask_instrument(parser)
    ask_json(parser)


def _list(args: argparse.Namespace) -> int:
    if args.library:
        return _library(args)
    listing, instrument = assigned(folders_of(args)), instrument_asked(args)
    fits = [
        (number, one)
        for number, one in enumerate(listing.assigned, 1)
        if instrument is None or is_for(one.assignment.exercise, instrument)
    ]
    if args.json:
        print_json({"exercises": [_plain(one) for _, one in fits]})
        return 0
    for number, one in fits:
        for line in listing_told(number, one, listing.today):
            print(line)
    for problem in listing.problems:
        print(problem.sentence())
    if instrument and listing.assigned and not fits:
        print(f"Nothing in your list is for the {instrument.name}.")
    if not (listing.assigned or listing.problems):
        print("Nothing is assigned. Open an exercise: companion exercise open FILE.")
    return 0


def _library(args: argparse.Namespace) -> int:
    found, instrument = built_in_exercises(), instrument_asked(args)
    fits = [(one, fitting(one.exercise, instrument) if instrument else None) for one in found]
    if args.json:
        plain = [_plain_built_in(*pair) for pair in fits]
        print_json({"exercises": plain})
        return 0
    width = max(len(one.name) for one in found)
    for one, how in fits:
        told = fitting_told(how) if how else ""
        here = fitted(one.exercise, how.instrument) if how and not how.why_not else one.exercise
        place = range_told(here) or "clapped"
        moved = f"  ({told})" if told and place != "clapped" else ""
        title = one.exercise.title
        head = f"{one.number:<3}  {one.exercise.level}  {one.name.ljust(width)}"
        print(f"{head}  {place:<9}  {title}{moved}")
    return 0


def _plain_built_in(one: BuiltIn, how: Fitting | None) -> dict[str, object]:
    plain: dict[str, object] = {
        "number": one.number,
        "name": one.name,
        "title": one.exercise.title,
        "level": one.exercise.level,
        "range": range_of_exercise(one.exercise),
        "drills": len(one.exercise.drills),
    }
    if how is not None:
        plain |= {"fits": not how.why_not, "moved": fitting_told(how)}
    return plain


def _plain(one: Assigned) -> dict[str, object]:
    exercise = one.assignment.exercise
    return {
        "id": one.assignment.id,
        "name": one.assignment.name,
        "version": one.assignment.revision.number,
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
                "goal": target_told(target),
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
    parser.add_argument(
        "exercise", metavar="EXERCISE", help="its number in the list, its name or title"
    )
    parser.epilog = "Your log stays."


def _close(args: argparse.Namespace) -> int:
    assignment = assignment_named(folders_of(args), args.exercise)
    close_exercise(assignment)
    print(f"closed: {assignment.exercise.title}")
    return 0


WORDS = (
    *exercise_new_command.WORDS,
    Subcommand(
        "check", "list every mistake in exercise files, with line and column", _ask_check, _check
    ),
    Subcommand("show", "show an exercise as the student reads it", _ask_show, _show),
    Subcommand("format", "explain the exercise file", _ask_nothing, _format),
    Subcommand("pack", "put an exercise and its scores into one file to send", _ask_pack, _pack),
    Subcommand("open", "take an exercise into your list", _ask_open, _open),
    Subcommand("list", "show what is assigned, how far it is, and by when", _ask_list, _list),
    Subcommand("close", "take an exercise off your list", _ask_close, _close),
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """One of its words."""
    parser.epilog = (
        "An exercise is a short text file (TOML): companion exercise new writes one, and "
        "companion exercise format explains every key."
    )
    ask_words(parser, WORDS, needed=True)


def run(args: argparse.Namespace) -> int:
    """Do what the word says."""
    word = word_asked(args, WORDS)
    return word.run(args) if word else 2
