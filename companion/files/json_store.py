"""Small JSON files that the program keeps for a player: choices, habits, plans."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

import msgspec

from companion.files.whole_file import keep_file, kept_file

_Kind = TypeVar("_Kind")


def kept_json(path: Path, kind: type[_Kind]) -> _Kind | None:
    """What is kept at a path, as a struct or a dataclass; None if it is missing or damaged."""
    content = kept_file(path)
    try:
        return None if content is None else msgspec.json.decode(content, type=kind)
    except (msgspec.MsgspecError, ValueError, RecursionError):
        return None


def keep_json(path: Path, kept: object) -> None:
    """Keep a struct or a dataclass, its fields as keys. Raises NotWritten."""
    keep_file(path, msgspec.json.format(msgspec.json.encode(kept), indent=1))
