"""`companion part SCORE PART -o OUT`: one player's part, as it would lie on the stand."""

from __future__ import annotations

import argparse
import re
from os.path import isfile
from pathlib import Path

from companion.cli.shared_options import (
    PART_HELP,
    ask_instrument,
    ask_json,
    ask_score,
    folders_of,
    instrument_asked,
    open_score_of,
    print_json,
)
from companion.files.score_paths import as_path
from companion.part.engraving.engrave import Paper
from companion.part.player_entrances import Cues
from companion.session.part_file import ENDINGS, PartFile, write_exercise_parts, write_part_file
from companion.wording.part_sentences import ADDED, part_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """The part, where to, and how much cueing."""
    ask_score(parser)
    parser.add_argument(
        "part", metavar="PART", nargs="?", help=f"{PART_HELP}; an exercise knows whose it is"
    )
    parser.add_argument(
        "-o", "--out", required=True, metavar="OUT", help=f"a file ending in {', '.join(ENDINGS)}"
    )
    parser.add_argument(
        "--cues",
        choices=[cues.value for cues in Cues],
        default=Cues.SHORT.value,
        help="cue notes before an entry after two or more bars of rest: one bar (short), "
        "up to four (full) or none; default: short",
    )
    parser.add_argument(
        "--paper",
        choices=[paper.value for paper in Paper],
        default=Paper.A4.value,
        help="page size of a .pdf or .svg; default: a4",
    )
    ask_instrument(parser)
    ask_json(parser)
    parser.epilog = (
        "SCORE may be an exercise: a file (.toml), a pack (.exercise), or its number (7 in your "
        "list, L7 in the library), name or title; several drills are several files. "
        "Adds rehearsal marks, tempos, repeats and signs that only another part has, and a note "
        "where the others are in another meter."
    )


def run(args: argparse.Namespace) -> int:
    """Write the part and tell what it has gained."""
    out = Path(args.out).expanduser()
    cues, paper = Cues(args.cues), Paper(args.paper)
    if exercise := _exercise(args):
        folders, instrument = folders_of(args), instrument_asked(args)
        written = write_exercise_parts(
            exercise, folders, args.part or "", out, cues, paper, instrument
        )
        if args.json:
            print_json({"drills": [_record(taken) for taken in written]})
    else:
        taken = write_part_file(
            open_score_of(args), folders_of(args), args.part or "", out, cues, paper
        )
        written = [taken]
        if args.json:
            print_json(_record(taken))
    for taken in () if args.json else written:
        print(part_told(taken))
    return 0


def _exercise(args: argparse.Namespace) -> Path | None:
    """The exercise that is meant; a score that is there needs no exercises read."""
    typed: str = args.score
    if isfile(as_path(typed)) and not typed.casefold().endswith((".toml", ".exercise")):
        return None
    from companion.session.assigned_exercises import exercise_meant

    return exercise_meant(folders_of(args), typed)


def _record(taken: PartFile) -> dict[str, object]:
    return {
        "files": [str(file) for file in taken.files],
        "part": {"id": taken.part_id, "name": taken.part_name},
        "added": {re.sub(r"\W", "_", kind): taken.added[kind] for kind in ADDED},
    }
