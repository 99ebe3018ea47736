"""One player's part, written to a file as its ending says."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import count, takewhile
from os.path import exists
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.exercise.instruments import Instrument
from companion.files.folders import Folders, assets_folder
from companion.files.whole_file import MARK, write_all
from companion.part.engraving.engrave import Paper
from companion.part.player_entrances import Cues
from companion.score import cache
from companion.score.readers.opening import musicxml_of
from companion.session.open_score import Choices, OpenScore, laid_with_choices, part_meant

ENDINGS = (".musicxml", ".xml", ".mxl", ".mid", ".midi", ".pdf", ".svg")
"""What a part can be written as."""


@dataclass(frozen=True, slots=True)
class PartFile:
    """A part that was written."""

    part_id: str
    """The source's id of the part."""
    part_name: str
    """Its printed name."""
    files: tuple[Path, ...]
    """What was written, page by page where there are pages."""
    added: Counter[str] = field(default_factory=Counter)
    """What the part has gained over its staff in the score, by kind; empty for MIDI."""


def write_part_file(
    open_score: OpenScore,
    folders: Folders,
    part: str,
    out: Path,
    cues: Cues,
    paper: Paper = Paper.A4,
) -> PartFile:
    """Write the part a player names, or chose, to `out`, pages for `paper`.

    Raises RequestError if there is no such part or ending, CompanionError where the
    file cannot be written; then nothing is.
    """
    made, contents = _made(open_score, folders, part, out, cues, paper)
    write_all(contents, [out])
    return made


def _made(
    open_score: OpenScore, folders: Folders, part: str, out: Path, cues: Cues, paper: Paper
) -> tuple[PartFile, dict[Path, bytes]]:
    """The part, and what goes where."""
    index = part_meant(open_score, part)
    _check(open_score, index, out)
    own = open_score.score.parts[index]
    if out.suffix.lower() in (".mid", ".midi"):
        from companion.click.export.part_midi import midi_of

        return PartFile(own.id, own.name, (out,)), {out: midi_of(open_score.clock, index)}

    from companion.part.extraction import extract

    taken = extract(unchanged_source(open_score, folders), open_score.clock, index, cues)
    contents = _contents(taken.musicxml, out, paper)
    return PartFile(own.id, own.name, tuple(contents), taken.added), contents


def write_exercise_parts(
    exercise: Path,
    folders: Folders,
    part: str,
    out: Path,
    cues: Cues,
    paper: Paper = Paper.A4,
    instrument: Instrument | None = None,
) -> list[PartFile]:
    """Write the student's part of every drill: `OUT`, or `OUT-1`, `OUT-2` … for several.

    `part` names another line of the drills. Raises as `write_part_file` and `check_exercise`.
    """
    from companion.session.open_exercise import check_exercise, drills_on_disk

    checked = check_exercise(exercise, folders, instrument)
    with drills_on_disk(checked, folders) as drills:
        made = [
            _made(
                laid_with_choices(one.opened, Choices()),
                folders,
                part or str(one.passage.part + 1),
                out if len(drills) == 1 else numbered(out, one.number),
                cues,
                paper,
            )
            for one in drills
        ]
    write_all({place: held for _, contents in made for place, held in contents.items()}, [out])
    return [part_file for part_file, _ in made]


def _check(open_score: OpenScore, index: int, out: Path) -> None:
    if out.suffix.lower() not in ENDINGS:
        raise RequestError(
            f"a part cannot be written as “{out.suffix or out.name}”",
            next=f"End it in {', '.join(ENDINGS)}; .pdf is the one to print.",
        )
    if _is_same(out, open_score.path):
        raise RequestError(
            "the part would take the place of the score", where=str(out), next="Name another file."
        )
    if not open_score.score.parts[index].bars:
        raise RequestError(
            f"{open_score.score.parts[index].name} has no bars",
            where=open_score.score.title,
            next="Choose another part.",
        )


def _is_same(out: Path, score: Path) -> bool:
    try:
        return out.samefile(score)
    except OSError:
        return False


def unchanged_source(open_score: OpenScore, folders: Folders) -> bytes:
    """The score's text. Raises CompanionError if it is no longer the one that was opened."""
    musicxml = musicxml_of(open_score.path, folders.cache)
    if cache.digest(open_score.path.read_bytes()) != open_score.digest:
        raise CompanionError(
            "the score has changed since it was opened",
            where=str(open_score.path),
            next="Open it again.",
        )
    return musicxml


def numbered(out: Path, number: int) -> Path:
    """`OUT-2.svg`: the second of several files."""
    return out.with_name(f"{out.stem}-{number}{out.suffix}")


def pages_beside(out: Path) -> tuple[Path, ...]:
    """The pages that are there already of a part written in several files; none for a format
    that takes one."""
    if out.suffix.lower() != ".svg":
        return ()
    return tuple(takewhile(exists, (numbered(out, number) for number in count(1))))


def _contents(musicxml: bytes, out: Path, paper: Paper) -> dict[Path, bytes]:
    """The part in the format its file's ending names: one file, or `OUT-1.svg`, `OUT-2.svg` …
    for several pages."""
    ending = out.suffix.lower()
    if ending == ".svg":
        from companion.part.engraving.engrave import engrave

        pages = [f"{page}\n<!-- {MARK} -->\n".encode() for page in engrave(musicxml, paper)]
        if len(pages) == 1:
            return {out: pages[0]}
        return {numbered(out, number): page for number, page in enumerate(pages, 1)}
    if ending == ".pdf":
        from companion.part.engraving.engrave import print_out

        # A line that begins so is a remark there (ISO 32000-1, 7.2.4).
        printed = print_out(musicxml, assets_folder() / "fonts", paper)
        return {out: printed.rstrip() + f"\n% {MARK}\n".encode()}
    if ending == ".mxl":
        from companion.part.extraction import container_of

        return {out: container_of(musicxml, f"{out.stem}.musicxml")}
    return {out: musicxml}
