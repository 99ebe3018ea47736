"""The one door through which a file comes in.

Whatever a player opens is judged by what it holds. MusicXML, plain or in a zip
container, goes straight on; any other format is turned into MusicXML first, so
that the rest of the program knows a single source format. Nothing is written
beside the file and nothing is fetched.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from companion.score.reader_error import ReaderError
from companion.score.readers.compressed_musicxml import score_in
from companion.score.readers.file_contents import contents
from companion.score.readers.format_detection import (
    SCORE_ROOTS,
    is_xml,
    is_zip,
    refusal_of_root,
    root_name,
)


class ScoreSource(NamedTuple):
    """A score as XML text, ready for `read_musicxml`."""

    musicxml: bytes
    """A score-partwise or score-timewise document."""
    came_from: str
    """`MusicXML`, `compressed MusicXML`, or the name of the format it was turned from."""
    is_converted: bool = False
    """Whether it took a conversion, slow enough to keep its result."""


def read(
    path: Path,
    progress: Callable[[str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ScoreSource:
    """The score in a file. Raises ReaderError, naming the file, where there is none.

    `progress` and `cancelled` serve formats that take seconds to turn into MusicXML.
    """
    return source_of(contents(path), path.name, progress, cancelled)


def source_of(
    data: bytes,
    name: str,
    progress: Callable[[str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ScoreSource:
    """The score in a file's bytes; `name` is what a refusal calls the file."""
    try:
        if is_zip(data):
            return ScoreSource(score_in(data), "compressed MusicXML")
        root = root_name(data) if is_xml(data) else ""
        if root in SCORE_ROOTS:
            return ScoreSource(data, "MusicXML")

        from companion.score.readers.format_detection import recognised  # for other formats only

        form = recognised(data, root)
        if form is None:
            raise _unknown(root)
        from companion.score.readers.foreign import turn  # child processes, for these only

        turned = turn(data, form, progress, cancelled)
        first = f", the first of {turned.pieces} pieces" if turned.pieces > 1 else ""
        return ScoreSource(turned.musicxml, form.name + first, is_converted=True)
    except ReaderError as error:
        raise error.inside(name) from None


def _unknown(name: str) -> ReaderError:
    if name:
        return refusal_of_root(name)

    from companion.score.readers.format_detection import FORMS

    known = ", ".join(form.name for form in FORMS)
    return ReaderError(
        "it is not a score in any known format",
        next=f"Export the score as MusicXML; {known} are read too.",
    )
