"""`companion exercise check`, `show` and `pack`: what one does with an exercise file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from companion.cli.shared_options import Subcommand, folders_of
from companion.errors import CompanionError
from companion.exercise.file.faults import ExerciseError
from companion.files.folders import Folders
from companion.files.score_paths import as_path
from companion.session.open_exercise import check_exercise, find_exercise, format_page
from companion.session.write_exercise import write_pack
from companion.wording.exercise_sentences import exercise_told
from companion.wording.phrases import count_told

_FILE = "an exercise file, a pack, or the name of a built-in exercise"


def _ask_check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="+", help=_FILE)
    parser.epilog = (
        "Every fault is told as file:line:column. Scores are opened, patterns added up, parts "
        "and bars looked for, and what an exercise says it shows is checked in its notes. "
        "Exit status 1 if there is any fault."
    )


def _check(args: argparse.Namespace) -> int:
    folders = folders_of(args)
    found = [list(_faults(typed, folders)) for typed in args.files]
    for lines in found:
        for line in lines:
            print(line)
    if not any(found):
        checked = count_told(len(args.files), "exercise")
        print(f"{checked} checked, nothing wrong.")
    return int(any(found))


def _faults(typed: str, folders: Folders) -> Iterator[str]:
    try:
        check_exercise(find_exercise(typed), folders)
    except ExerciseError as error:
        for line in error.lines():
            yield line.replace(error.name, typed, 1)
    except CompanionError as error:
        yield error.sentence() if error.where else f"{typed}: {error.sentence()}"


def _ask_show(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help=_FILE)


def _show(args: argparse.Namespace) -> int:
    for line in exercise_told(check_exercise(find_exercise(args.file), folders_of(args))):
        print(line)
    return 0


def _ask_pack(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help=_FILE)
    parser.add_argument(
        "-o", "--out", metavar="OUT", help="where to; beside FILE, ending in .exercise, if left out"
    )
    parser.epilog = (
        "One file with the exercise and its scores, to send to a student. Its checksums show "
        "damage on the way; they do not prove who sent it."
    )


def _pack(args: argparse.Namespace) -> int:
    path = find_exercise(args.file)
    checked = check_exercise(path, folders_of(args))
    made = write_pack(checked, as_path(args.out) if args.out else path.with_suffix(""))
    held = count_told(len(checked.files) - 1, "score")
    print(f"{made}: {checked.file.exercise.title}, with {held}")
    return 0


def _ask_nothing(parser: argparse.ArgumentParser) -> None:
    parser.epilog = "In plain words with examples, for writing one by hand."


def _format(args: argparse.Namespace) -> int:
    print(format_page(), end="")
    return 0


WORDS = (
    Subcommand(
        "check", "tell every fault of exercise files, with line and column", _ask_check, _check
    ),
    Subcommand("show", "show an exercise as a sheet for the stand", _ask_show, _show),
    Subcommand("format", "explain the exercise file", _ask_nothing, _format),
    Subcommand("pack", "put an exercise and its scores into one file to send", _ask_pack, _pack),
)
"""Its words."""
