"""The child process that turns another format into MusicXML.

Run as `python -m companion.score.readers.foreign_child SOURCE TARGET FORMAT SECONDS`
by `foreign.py`, never by a person; exit status 0 means TARGET is written. Before
it looks at the file it gives up what parsing notes does not need: writing outside
its folder, the network, other programs, and Python's stored objects.
"""

from __future__ import annotations

import os
import signal
import sys
import warnings
from pathlib import Path
from typing import Any

from lxml import etree

from companion.files.child_process import OUT_OF_MEMORY, limit_child

_FORBIDDEN = (
    "socket.connect",
    "socket.getaddrinfo",
    "subprocess.Popen",
    "os.system",
    "os.exec",
    "os.posix_spawn",
    "os.fork",
    "pickle.find_class",
)
_WRITTEN_AS_TEXT = ("humdrum", "abc")
_CHANGES_FILES = ("os.remove", "os.rename", "os.rmdir", "os.mkdir", "os.symlink", "os.link")


def main(source: Path, target: Path, form: str, seconds: float) -> int:
    """Turn `source` into MusicXML in `target`; gives the exit status."""
    if hasattr(signal, "alarm"):
        signal.alarm(int(seconds) + 5)
    warnings.simplefilter("ignore")
    from music21 import defaults, stream  # 217 ms, and only here

    defaults.title = defaults.author = ""  # its own name would stand there
    _give_up(target.parent.resolve())
    limit_child()
    parsed = _parsed(source, form)
    if isinstance(parsed, stream.Opus):
        scores = list(parsed.scores)
        (target.parent / "pieces").write_text(str(len(scores)), "ascii")
        parsed = scores[0]
    if not parsed.recurse().notesAndRests:
        return 1
    parsed.write("musicxml", fp=target)
    _name_parts(target)
    return 0


def _parsed(source: Path, form: str) -> Any:  # noqa: ANN401 (music21 is untyped)
    from music21 import converter

    if form in _WRITTEN_AS_TEXT:
        return converter.parseData(_text(source), format=form)
    return converter.parseFile(source, format=form, forceSource=True, storePickle=False)


def _text(source: Path) -> str:
    """A text in UTF-8 or, failing that, in the Latin alphabet of older systems."""
    data = source.read_bytes()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("iso-8859-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _name_parts(target: Path) -> None:
    """Give parts the same ids every time, and a name where they have none."""
    tree = etree.parse(target)
    ids: dict[str | None, str] = {}
    for number, entry in enumerate(tree.iterfind("part-list/score-part"), 1):
        ids[entry.get("id")] = f"P{number}"
        entry.set("id", f"P{number}")
        name = entry.find("part-name")
        if name is not None and not (name.text or "").strip():
            name.text = f"Part {number}"
    for part in tree.iterfind("part"):
        part.set("id", ids[part.get("id")])
    tree.write(target, encoding="utf-8", xml_declaration=True)


def _give_up(folder: Path) -> None:
    """Let this process neither write outside a folder nor reach anything else."""

    def check(event: str, arguments: tuple[object, ...]) -> None:
        if event in _FORBIDDEN:
            raise PermissionError(f"{event} is not needed to read a score")
        writes = event == "open" and _writes(arguments)
        places = arguments if event in _CHANGES_FILES else arguments[:1] if writes else ()
        if not all(_inside(folder, place) for place in places):
            raise PermissionError("only the folder of this reading may be changed")

    sys.addaudithook(check)


def _writes(arguments: tuple[object, ...]) -> bool:
    """Whether an `open` event asks for more than reading."""
    _, mode, flags = arguments
    if isinstance(mode, str):
        return any(letter in mode for letter in "wax+")
    return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def _inside(folder: Path, place: object) -> bool:
    """Whether a path lies in the folder. Anything else is a stream already open, or a mode."""
    if not isinstance(place, str | bytes | os.PathLike):
        return True
    return folder in Path(os.fsdecode(place)).resolve().parents


if __name__ == "__main__":
    try:
        sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], float(sys.argv[4])))
    except MemoryError:
        sys.exit(OUT_OF_MEMORY)
