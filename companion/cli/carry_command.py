"""`companion carry OLD NEW`: a corrected edition takes the place of an earlier one."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.session.carry import Carry, PassageMatch, carry
from companion.session.open_score import open_for_practice
from companion.wording.phrases import counted


def arguments(parser: argparse.ArgumentParser) -> None:
    """OLD NEW."""
    parser.add_argument("old", metavar="OLD", help="the edition that was practised")
    parser.add_argument("new", metavar="NEW", help="the corrected one")
    ask_json(parser)
    parser.epilog = (
        "Each passage moves to the bars that now hold its music. If they are not found, it stays "
        "with the earlier edition. The log itself is not changed."
    )


def run(args: argparse.Namespace) -> int:
    """Carry the passages over and tell what became of each."""
    folders = folders_of(args)
    old = open_for_practice(Path(args.old).expanduser(), folders)
    new = open_for_practice(Path(args.new).expanduser(), folders)
    done = carry(folders, old, new)
    if args.json:
        print_json(_record(done))
    else:
        for line in carry_told(done):
            print(line)
    return 0


def carry_told(done: Carry) -> Iterator[str]:
    """What became of parts and passages, in lines for a person."""
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
