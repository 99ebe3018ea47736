"""`companion library FOLDER [SEARCH…]`: index a folder of scores and search it."""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

from msgspec import structs

from companion.cli.shared_options import ask_json, folders_of, print_json
from companion.library.index import update_index
from companion.library.indexed_score import HardPassage, Index, IndexedScore, shown_text
from companion.library.search import checked_query, search
from companion.wording.control_characters import without_control
from companion.wording.phrases import bars_told, division_told

_NARROW = 32
"""Letters of a title or a name in the table; the whole of it is in `--json`."""

_FEW = 12
"""Scores up to which the table also tells bars and passages."""

_HEADINGS = ("title", "composer", "parts", "bars", "mixed", "written", "in notes", "path")


def arguments(parser: argparse.ArgumentParser) -> None:
    """FOLDER [SEARCH…] [--json] [--again]."""
    parser.add_argument("folder", metavar="FOLDER", help="a folder of scores, with its subfolders")
    parser.add_argument(
        "search",
        metavar="SEARCH",
        nargs="*",
        help="words that must all match: title, composer, path, part names, mixed (meters), "
        "conflict, a ratio such as 3:2, parts=4",
    )
    parser.add_argument("--again", action="store_true", help="read every file again")
    ask_json(parser)
    parser.epilog = (
        "The first run takes a while; if you stop it with Ctrl-C, the same command continues. "
        "Later runs read only changed files. Hardness is a rule of thumb: ratio, length, number "
        "of parts."
    )


def run(args: argparse.Namespace) -> int:
    """Bring the index up to date, then print what was looked for."""
    words, line = checked_query(" ".join(args.search)), _Line()
    try:
        index = update_index(
            folders_of(args), Path(args.folder), progress=line.tell, again=args.again
        )
    except KeyboardInterrupt:
        line.clear()
        print("companion: stopped. The same command continues from here.", file=sys.stderr)
        return 130
    finally:
        line.clear()
    found = search(index, words)
    if args.json:
        print_json(_record(index, found))
    else:
        for row in found_told(index, found, is_search=bool(args.search)):
            print(row)
    return 0


class _Line:
    """How far it is, in one line that is written over; nothing if nobody watches."""

    def __init__(self) -> None:
        self._is_seen = sys.stderr.isatty()
        self._length = 0

    def tell(self, done: int, total: int, name: str) -> None:
        """`companion: 12 of 340, trios/evening.mxl`."""
        text = f"companion: {done} of {total}" + (f", {name}" if name else "")
        self._write(text[: shutil.get_terminal_size().columns - 1])

    def clear(self) -> None:
        """Leave no trace."""
        self._write("")

    def _write(self, text: str) -> None:
        if self._is_seen and (text or self._length):
            shown = without_control(text)
            # Past the filter of what is printed, for the line is written over.
            terminal = sys.__stderr__ or sys.stderr
            terminal.write("\r" + shown.ljust(self._length) + ("" if shown else "\r"))
            terminal.flush()
            self._length = len(shown)


def found_told(index: Index, found: list[IndexedScore], *, is_search: bool) -> Iterator[str]:
    """The library in lines for a person."""
    if found:
        yield from _table(found)
    if not is_search:
        for entry in index.unreadable:
            yield f"{entry.path or '.'}: {entry.problem}"
    yield _counted(index, len(found), is_search)


def _table(found: list[IndexedScore]) -> Iterator[str]:
    rows = [_HEADINGS, *map(_row, found)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]) - 1)]
    details: list[list[str]] = [
        [],
        *([*_details(one)] if len(found) <= _FEW else [] for one in found),
    ]
    for row, below in zip(rows, details, strict=True):
        yield (
            "  ".join(
                cell.ljust(width) if column < 2 else cell.rjust(width)
                for column, (cell, width) in enumerate(zip(row, widths, strict=False))
            )
            + f"  {row[-1]}"
        )
        yield from below
    yield ""


def _row(entry: IndexedScore) -> tuple[str, str, str, str, str, str, str, str]:
    mixed = sum(span.last - span.first + 1 for span in entry.mixed)
    return (
        _cut(entry.title),
        _cut(entry.composer),
        str(len(entry.parts)),
        str(entry.bars),
        str(mixed or ""),
        str(entry.written or ""),
        str(entry.sounding or ""),
        entry.path,
    )


def _cut(text: str) -> str:
    return text if len(text) <= _NARROW else text[: _NARROW - 1] + "…"


def _details(entry: IndexedScore) -> Iterator[str]:
    if entry.mixed:
        yield f"    mixed meters in bars {', '.join(span.printed for span in entry.mixed)}"
    for hard in entry.hardest:
        bars = bars_told(hard.first, hard.last, hard.printed)
        yield f"    {bars}: {_told(hard)}"


def _told(hard: HardPassage) -> str:
    return division_told(hard.numbers, hard.level, hard.basis, hard.sides)


def _counted(index: Index, count: int, is_search: bool) -> str:
    scores, unreadable = len(index.scores), len(index.unreadable)
    text = f"{count} of {_number(scores, 'score')}" if is_search else _number(scores, "score")
    if unreadable:
        text += f"; {_number(unreadable, 'file')} could not be read"
    if not scores:
        return f"{text}. Put scores into this folder, such as .musicxml, .mxl or .xml."
    return text + "."


def _number(count: int, noun: str) -> str:
    return f"{count:,} {noun}" + ("" if count == 1 else "s")


def _record(index: Index, found: list[IndexedScore]) -> dict[str, object]:
    return {
        "folder": shown_text(str(index.path)),
        "scores": [_score(entry) for entry in found],
        "unreadable": [
            {"path": entry.path, "size": entry.size, "problem": entry.problem}
            for entry in index.unreadable
        ],
    }


def _score(entry: IndexedScore) -> dict[str, object]:
    return {
        "path": entry.path,
        "title": entry.title,
        "composer": entry.composer,
        "parts": list(entry.parts),
        "bars": entry.bars,
        "mixed_meters": [structs.asdict(span) for span in entry.mixed],
        "conflicts": {
            "written": entry.written,
            "in_notes": entry.sounding,
            "ratios": list(entry.ratios),
        },
        "hardest": [
            {
                "first": hard.first,
                "last": hard.last,
                "printed": hard.printed,
                "points": hard.points,
                "told": _told(hard),
            }
            for hard in entry.hardest
        ],
        "size": entry.size,
        "mtime": entry.mtime / 1e9,
        "digest": entry.digest,
    }
