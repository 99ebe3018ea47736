"""`companion carry OLD NEW`: a corrected edition takes the place of an earlier one."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.editions import editions
from companion.practice.edition import Edition
from companion.session.carry import Carry, PassageMatch, keep_carry, matched_editions, undo_carry
from companion.session.open_score import open_for_practice
from companion.wording.phrases import counted, day_told


def arguments(parser: argparse.ArgumentParser) -> None:
    """[OLD NEW [--anyway] | --undo [OLD]]."""
    parser.add_argument(
        "old",
        metavar="OLD",
        nargs="?",
        help="the edition that was practised; if left out, list what was carried",
    )
    parser.add_argument("new", metavar="NEW", nargs="?", help="the corrected one")
    parser.add_argument("--anyway", action="store_true", help="even if little of it is found")
    parser.add_argument(
        "--undo", action="store_true", help="take it back: the latest one, or that of OLD"
    )
    ask_json(parser)
    parser.epilog = (
        "Each passage moves to the bars that now hold its music. If they are not found, it stays "
        "with the earlier edition. The log itself is not changed."
    )


def run(args: argparse.Namespace) -> int:
    """Carry the passages over and tell what became of each; or take it back; or list them."""
    folders = folders_of(args)
    if args.undo:
        return _undo(args, folders)
    if args.old is None:
        return _listed(args, folders)
    if args.new is None:
        raise RequestError(
            "the corrected edition is missing", next="Write companion carry OLD NEW."
        )
    old = open_for_practice(Path(args.old).expanduser(), folders)
    new = open_for_practice(Path(args.new).expanduser(), folders)
    found = matched_editions(folders, old, new)
    if not args.json:
        for line in carry_told(found):
            print(line)
    if found.is_little and not args.anyway:
        _ask(found)
    keep_carry(folders, found)
    if args.json:
        print_json(_record(found))
    else:
        print("Carried. Take it back: companion carry --undo")
    return 0


def _ask(found: Carry) -> None:
    """Ask on the terminal; without one it is refused. Raises RequestError."""
    same, bars = found.bars_found
    carried, passages = found.passages_found
    little = f"only {same} of {counted(bars, 'bar')}"
    if passages:
        little += f" and {carried} of {counted(passages, 'passage')}"
    little += f" are found in {found.edition.title}"
    if sys.stdin.isatty():
        try:
            if input(f"{little.capitalize()}. Carry anyway? (y/n) ").strip().casefold() == "y":
                return
        except EOFError:
            pass
        little = "nothing was carried"
    raise RequestError(little, next="If it is the corrected edition, add --anyway.")


def _undo(args: argparse.Namespace, folders: Folders) -> int:
    if args.new is not None:
        raise RequestError("--undo needs one edition at most", next="Name the earlier one only.")
    taken_back = undo_carry(folders, Path(args.old).expanduser() if args.old else None)
    if args.json:
        print_json({"undone": _edition(taken_back)})
    else:
        print(f"Taken back: {_told(taken_back)}. Its passages are where they were practised.")
    return 0


def _listed(args: argparse.Namespace, folders: Folders) -> int:
    found = list(editions(folders).values())
    if args.json:
        print_json({"editions": [_edition(one) for one in found]})
        return 0
    for edition in found:
        print(_told(edition))
    if not found:
        print("No edition has taken the place of another.")
    return 0


def _told(edition: Edition) -> str:
    when = f", {day_told(edition.at)}" if edition.at else ""
    return f"{edition.title}, now {edition.path}{when}"


def _edition(edition: Edition) -> dict[str, object]:
    return {
        "old": edition.old,
        "new": edition.new,
        "title": edition.title,
        "path": edition.path,
        "at": edition.at.isoformat() if edition.at else None,
    }


def carry_told(done: Carry) -> Iterator[str]:
    """What becomes of parts and passages, in lines for a person."""
    for name, (same, bars) in done.same_bars.items():
        yield f"{name}: {same} of {counted(bars, 'bar')} found"
    for name in done.lost_parts:
        yield f"{name}: not in {done.edition.title}"
    for match in done.passages:
        yield f"  {_match(match)}"
    if not done.passages:
        yield "The log has no passages of the earlier edition."


def _match(match: PassageMatch) -> str:
    if match.to is None:
        return f"{match.label}: not found; it stays with the earlier edition"
    where = f"{match.label} → {match.to_label}"
    return f"{where}, changed in {', '.join(match.changed)}" if match.changed else where


def _record(done: Carry) -> dict[str, object]:
    return {
        "old": done.edition.old,
        "new": done.edition.new,
        "parts": {
            name: {"found": same, "bars": bars} for name, (same, bars) in done.same_bars.items()
        },
        "lost_parts": list(done.lost_parts),
        "passages": [
            {
                "part": match.bars.part_id,
                "first": match.bars.first,
                "last": match.bars.last,
                "printed": match.label,
                "to": None
                if match.to is None
                else {
                    "part": match.to.part_id,
                    "first": match.to.first,
                    "last": match.to.last,
                    "printed": match.to_label,
                },
                "changed": list(match.changed),
            }
            for match in done.passages
        ],
    }
