"""Reading a score in a child process, so that a screen stays awake and can say stop.

Parsing holds up every thread of its process, and with it the sound and the keys. The
child leaves the score in the cache, or in a folder of its own where the cache cannot be
written to, and the parent picks it up from there.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.score import cache
from companion.score.readers.file_contents import contents
from companion.score.readers.opening import Opened

_CHILD = "companion.session.reading_child"


class BackgroundReadingStopped(CompanionError):
    """The player did not want to wait any longer."""


def kept_score(path: Path, folders: Folders) -> Opened | None:
    """A score that was read before, from the cache; None where it has to be read.

    Raises CompanionError where there is no such readable file.
    """
    key = cache.digest(contents(path))
    score = cache.load(folders.cache, key)
    return None if score is None else Opened(score, key, path)


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
        with TemporaryDirectory(prefix="companion-") as spare:
            with _start(self._path, self._folders.cache, Path(spare)) as self._child:
                try:
                    told = {} if self._is_stopped else self._follow(self._child, tell)
                finally:
                    _end(self._child)
            if self._is_stopped:
                raise BackgroundReadingStopped("reading was stopped", where=self._path.name)
            return self._picked_up(told, Path(spare))

    def stop(self) -> None:
        """End the child and whatever it started; `wait` then raises ReadingStopped."""
        self._is_stopped = True
        if self._child is not None:
            _end(self._child)

    def _follow(
        self, child: subprocess.Popen[bytes], tell: Callable[[str], None]
    ) -> dict[str, str]:
        """What the child says last: the digest under which the score lies, or its trouble."""
        assert child.stdout is not None
        for line in child.stdout:
            said: dict[str, str] = json.loads(line)
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
                return Opened(score, told["digest"], self._path)
        raise CompanionError(
            "reading broke off",
            where=str(self._path),
            next="Try once more, or export the score again as MusicXML.",
        )


def _start(path: Path, cache_folder: Path, spare: Path) -> subprocess.Popen[bytes]:
    """The child, at the head of a group of its own so that its children end with it."""
    folders = os.pathsep.join(entry or os.getcwd() for entry in sys.path)
    return subprocess.Popen(
        [sys.executable, "-m", _CHILD, str(path), str(cache_folder), str(spare)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": folders, "PYTHONSAFEPATH": "1"},
        start_new_session=True,
        # The child lowers itself elsewhere (POSIX); here only its parent can.
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )


def _end(child: subprocess.Popen[bytes]) -> None:
    if child.poll() is None:
        if sys.platform == "win32":
            command = ["taskkill", "/F", "/T", "/PID", str(child.pid)]
            subprocess.run(command, capture_output=True, check=False)
        else:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child.pid, signal.SIGKILL)
    child.wait()
