"""`companion handout SCORE|EXERCISE -o FILE.html|FOLDER`: pages for who uses no terminal."""

from __future__ import annotations

import argparse

from companion.cli.shared_options import (
    BARS_HELP,
    PART_HELP,
    ask_instrument,
    ask_json,
    ask_score,
    folders_of,
    instrument_asked,
    open_score_of,
    print_json,
)
from companion.errors import RequestError
from companion.files.score_paths import as_path
from companion.publish.handout.handout import HandoutRequest, WrittenPage, hand_out_score, is_page
from companion.rhythm.tempo import parse_bpm
from companion.wording.phrases import written_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """The score or exercise, the part and the bars, and where to."""
    ask_score(parser)
    parser.add_argument(
        "--part",
        metavar="P",
        help=f"whose page: {PART_HELP}; if OUT is a folder, every part",
    )
    parser.add_argument(
        "--bars",
        metavar="A-B",
        help=f"the passage ({BARS_HELP}); default: the bars with the most conflicts",
    )
    parser.add_argument(
        "--tempo",
        metavar="BPM",
        help="goal tempo, in felt beats a minute; default: the score's own",
    )
    ask_instrument(parser)
    parser.add_argument(
        "-o", "--out", required=True, metavar="OUT", help="a file ending in .html, or a folder"
    )
    ask_json(parser)
    parser.epilog = (
        "SCORE may be an exercise: a file (.toml), a pack (.exercise), or its number (7 in your "
        "list, L7 in the library), name or title, which brings its part, bars and tempo. Each "
        "page is one file with study sheet, map of conflicts, notes and counts; it plays the "
        "click and the parts, and notes how it went, in a file for companion collect and "
        "companion log import. It works offline. Start with the volume low."
    )


def run(args: argparse.Namespace) -> int:
    """Write the pages and tell where they are."""
    made = _made(args)
    if args.json:
        print_json({"pages": [_record(each) for each in made]})
        return 0
    for each in made:
        print(written_told(each.path, f"{each.told} ({_size(each.size)})"))
        if each.missing:
            print(f"  {each.missing}")
    return 0


def _made(args: argparse.Namespace) -> list[WrittenPage]:
    from companion.publish.handout.exercise_handout import hand_out_exercise
    from companion.session.assigned_exercises import exercise_meant

    out = as_path(args.out)
    is_page(out)
    if exercise := exercise_meant(folders_of(args), args.score):
        if args.part or args.bars or args.tempo:
            raise RequestError(
                "an exercise has its own part, bars and tempo",
                next="Leave out --part, --bars and --tempo.",
            )
        return hand_out_exercise(exercise, out, folders_of(args), instrument_asked(args))
    wanted = HandoutRequest(
        args.part or "", args.bars or "", parse_bpm(args.tempo) if args.tempo else None
    )
    return hand_out_score(open_score_of(args), wanted, out, folders_of(args))


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 100_000 else f"{count / 1e3:.0f} kB"


def _record(made: WrittenPage) -> dict[str, object]:
    return {
        "path": str(made.path),
        "about": made.told,
        "bytes": made.size,
        "missing": made.missing or None,
    }
