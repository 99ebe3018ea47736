"""Reading a score in a child process, so that a screen stays awake and can say stop.

Parsing holds up every thread of its process, and with it the sound and the keys. The
child leaves the score in the cache, or in a folder of its own where the cache cannot be
written to, and the parent picks it up from there.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import msgspec

from companion.errors import CompanionError
from companion.files import child_process
from companion.files.folders import Folders
from companion.files.spare_folder import spare_folder
from companion.score import cache
from companion.score.reader_error import ReadingStopped
from companion.score.readers.file_contents import contents
from companion.score.readers.opening import Opened

_CHILD = "companion.session.reading_child"


def kept_score(path: Path, folders: Folders) -> Opened | None:
    """A score that was read before, from the cache; None if it has to be read.

    Raises CompanionError if there is no such readable file.
    """
    key = cache.digest(contents(path))
    score = cache.load(folders.cache, key)
    return None if score is None else Opened(score, key, path, folders.cache)


class Reading:
    """A score being read in a child process: `wait` in one thread, `stop` from any other."""

    def __init__(self, path: Path, folders: Folders) -> None:
        self._path = path
        self._folders = folders
        self._child: subprocess.Popen[bytes] | None = None
        self._is_stopped = False

    def wait(self, tell: Callable[[str], None]) -> Opened:
        """Read the score, telling each step in a sentence.

        Raises CompanionError as the child met it, and ReadingStopped after `stop`.
        """
        with spare_folder("the score could not be read") as spare:
            arguments = (str(self._path), str(self._folders.cache), str(spare))
            with child_process.start(_CHILD, *arguments, heads_group=True) as self._child:
                try:
                    told = {} if self._is_stopped else self._follow(self._child, tell)
                finally:
                    child_process.end(self._child)
            if self._is_stopped:
                raise ReadingStopped("reading was stopped", where=self._path.name)
            return self._picked_up(told, spare)

    def stop(self) -> None:
        """End the child and whatever it started; `wait` then raises ReadingStopped."""
        self._is_stopped = True
        if self._child is not None:
            child_process.end(self._child)

    def _follow(
        self, child: subprocess.Popen[bytes], tell: Callable[[str], None]
    ) -> dict[str, str]:
        """What the child says last: the digest under which the score lies, or its trouble."""
        assert child.stdout is not None
        for line in child.stdout:
            said = msgspec.json.decode(line, type=dict[str, str])
            if self._is_stopped or "step" not in said:
                return said
            tell(said["step"])
        return {}

    def _picked_up(self, told: dict[str, str], spare: Path) -> Opened:
        if "what" in told:
            raise CompanionError(told["what"], where=told["where"], next=told["next"])
        for folder in (self._folders.cache, spare):
            score = cache.load(folder, told["digest"]) if "digest" in told else None
            if score is not None:
                return Opened(score, told["digest"], self._path, self._folders.cache)
        raise CompanionError(
            "reading broke off",
            where=str(self._path),
            next="Try once more, or export the score again as MusicXML.",
        )
