"""What was read once is not read again: one compact file a score.

An entry is keyed by the content of the source and the version of the reader, is
written whole (so that two processes may write at once), and carries a checksum: a
damaged entry counts as absent and is read afresh.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from os.path import exists
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

try:  # the algorithm alone: its usual door opens a library of all others first
    from _blake2 import blake2b
except ImportError:
    from hashlib import blake2b

from companion.files.interrupt import interrupt_after
from companion.files.whole_file import NotWritten, keep_file, kept_file

if TYPE_CHECKING:
    from companion.score.model import Score

READER_VERSION = 8
"""Raise whenever the readers or the model change what they say about a source,
or the findings what is kept of it here or in the index of a library."""

_CHECKSUM = 16
_Kind = TypeVar("_Kind")


def digest(content: bytes) -> str:
    """What identifies a source: 32 hexadecimal digits of its content."""
    return blake2b(content, digest_size=16).hexdigest()


def has(folder: Path, key: str) -> bool:
    """Whether something is kept under a key; only `load` tells whether it can be trusted."""
    return exists(place_of(folder, key, "score"))


def load(folder: Path, key: str) -> Score | None:
    """The score kept under a key, or None if there is none that can be trusted."""
    entry = load_entry(place_of(folder, key, "score"))
    if entry is None:
        return None

    from companion.score.model import Score  # not before a source is on its way in

    return _decoded(entry, Score)


def keep(folder: Path, key: str, score: Score) -> None:
    """Keep a score. A folder that cannot be written to is no reason to fail."""
    keep_entry(place_of(folder, key, "score"), _encoded(score, 1 << 20))


def kept_or_found(place: Path | None, kind: type[_Kind], find: Callable[[], _Kind]) -> _Kind:
    """What is kept at a place; else, or without a place, what is found now, which is kept."""
    entry = load_entry(place) if place else None
    kept = None if entry is None else _decoded(entry, kind)
    if kept is not None:
        return kept
    found = find()
    if place:
        keep_entry(place, _encoded(found, 1 << 10))
    return found


def load_source(folder: Path, key: str) -> bytes | None:
    """The MusicXML kept for a source that came in another format."""
    return load_entry(place_of(folder, key, "musicxml"))


def keep_source(folder: Path, key: str, musicxml: bytes) -> None:
    """Keep the MusicXML made from another format."""
    keep_entry(place_of(folder, key, "musicxml"), musicxml)


def _encoded(value: object, room: int) -> bytes:
    """`room` is about how many bytes it takes: growing step by step took ten times as long."""
    import msgspec

    entry = bytearray(room)
    with interrupt_after():
        msgspec.msgpack.Encoder(enc_hook=str).encode_into(value, entry)
    return bytes(entry)


def _decoded(entry: bytes, kind: type[_Kind]) -> _Kind | None:
    """What was encoded; None if it is nothing of the kind."""
    import msgspec

    try:
        with interrupt_after():  # the library crashes if Ctrl+C falls into what it calls
            return msgspec.msgpack.decode(entry, type=kind, dec_hook=_from_text)
    except (msgspec.MsgspecError, ValueError):
        return None


def _from_text(kind: type, value: str) -> object:
    """Fractions are kept as their text, `3/2`."""
    return kind(value)


def place_of(folder: Path, key: str, kind: str) -> Path:
    """Where something of a kind, such as `score`, is kept under a key."""
    return folder / f"{key}.{READER_VERSION}.{kind}"


def load_entry(place: Path) -> bytes | None:
    """The content of an entry; None if there is none that can be trusted."""
    entry = kept_file(place) or b""
    checksum, content = entry[:_CHECKSUM], entry[_CHECKSUM:]
    return content if blake2b(content, digest_size=_CHECKSUM).digest() == checksum else None


def keep_entry(place: Path, content: bytes) -> None:
    """Keep an entry with its checksum. A folder that cannot be written to is no reason to fail."""
    with suppress(NotWritten):
        keep_file(place, blake2b(content, digest_size=_CHECKSUM).digest() + content)
