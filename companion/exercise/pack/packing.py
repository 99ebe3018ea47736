"""An exercise and its scores into one file."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from companion.exercise.pack.form import (
    LARGEST,
    MANIFEST,
    MOST_FILES,
    PackError,
    is_plain_path,
    write_list,
)

_NO_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest a zip file can say: a pack tells what is in it, not when it was made."""


def pack(files: Mapping[str, bytes]) -> bytes:
    """A pack of these files by name. The same files always give the same bytes.

    Raises PackError for what could not be opened again.
    """
    _check(files)
    out = BytesIO()
    with ZipFile(out, "w") as made:
        _add(made, MANIFEST, write_list(files), ZIP_STORED)
        for name, content in sorted(files.items()):
            _add(made, name, content, ZIP_DEFLATED)
    return out.getvalue()


def _add(made: ZipFile, name: str, content: bytes, how: int) -> None:
    entry = ZipInfo(name, _NO_DATE)
    entry.compress_type = how
    entry.create_system = 3  # the same on every system, with permissions that say "a file"
    entry.external_attr = 0o100644 << 16
    made.writestr(entry, content, compresslevel=9)


def _check(files: Mapping[str, bytes]) -> None:
    if len(files) > MOST_FILES:
        raise PackError(f"a pack holds at most {MOST_FILES} files", next="Use fewer scores.")
    if sum(map(len, files.values())) > LARGEST:
        raise PackError(
            f"these scores are over {LARGEST // 1024**2} megabytes together",
            next="Send shorter excerpts.",
        )
    for name in files:
        if name.casefold() == MANIFEST or not is_plain_path(name):
            raise PackError(f"a file cannot be called “{name}” in a pack", next="Rename it.")
    if len({name.casefold() for name in files}) < len(files):
        raise PackError("two files in it differ only in capital letters", next="Rename one.")
