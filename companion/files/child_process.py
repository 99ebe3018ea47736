"""Work in a child process: `python -m MODULE ARGUMENTS` with our own modules, watched and ended.

A child, because parsing and engraving hold up every thread of their process, and with it
the sound and the keys. It is started without a shell and without this terminal, so it is
safe inside a running screen; what it starts itself, and it, are gone when we are done.
"""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import IO

from companion.files.spare_folder import NoRoom

_PR_SET_PDEATHSIG = 1
"""From <linux/prctl.h>."""
_LOOK_EVERY = 0.05
"""Seconds between two looks at a child."""


class ChildFailed(Exception):
    """A child ended with another status than 0; its message is what it wrote to its errors."""

    def __init__(self, status: int, errors: str) -> None:
        super().__init__(errors)
        self.status = status


class TookTooLong(Exception):
    """A child was ended because its time was over."""


MOST_MEMORY = 1 << 30
"""Bytes that a child may take for what a stranger's file asks of it."""


_MOST_PROCESSOR_TIME = 300
"""Seconds after which a child that nobody ends any more, its parent being gone, ends."""


OUT_OF_MEMORY = 3
"""Exit status of a child whose file asks for more."""


def limit_child(beside: int = 0) -> None:
    """Called by a child before it looks at its file: more than MOST_MEMORY is refused to it, as
    MemoryError, and it does not outlive its parent; `beside` are bytes more for a file that is
    large itself. Windows and macOS have no such limits of memory; there the time limit has to
    do, and the processor's time where the parent was killed (not on Windows)."""
    if sys.platform == "win32":
        return
    import resource

    _lower(resource.RLIMIT_CPU, _MOST_PROCESSOR_TIME)
    if sys.platform == "linux":
        _lower(resource.RLIMIT_DATA, MOST_MEMORY + beside)
    end_with_parent()


def end_with_parent() -> None:
    """Called by a child: if its parent is killed, so is it (on Linux)."""
    if sys.platform == "linux":
        import ctypes

        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)


def _lower(limit: int, wanted: int) -> None:
    import resource

    _, most = resource.getrlimit(limit)
    ours = wanted if most == resource.RLIM_INFINITY else min(wanted, most)
    resource.setrlimit(limit, (ours, most))


def start(
    module: str,
    *arguments: str,
    home: Path | None = None,
    heads_group: bool = False,
    stdin: int | IO[bytes] = subprocess.DEVNULL,
    stderr: int = subprocess.DEVNULL,
) -> subprocess.Popen[bytes]:
    """A child at work, its standard output a pipe; `end` it in a `finally`.

    `home` stands in place of the player's home and is where it works. A child that
    `heads_group` takes what it starts along when it is ended; one that is itself started by
    a child must not, or it would outlive the group it is in.
    """
    return subprocess.Popen(
        [sys.executable, "-m", module, *arguments],
        stdin=stdin,
        stdout=subprocess.PIPE,
        stderr=stderr,
        cwd=home,
        env=_environment(home),
        start_new_session=heads_group,
        # On POSIX a child lowers its own priority; on Windows only its parent can.
        creationflags=getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0),
    )


def end(child: subprocess.Popen[bytes]) -> None:
    """End a child and the group it heads, from any thread, and wait until it is gone."""
    if child.poll() is None:
        if sys.platform == "win32":
            command = ["taskkill", "/F", "/T", "/PID", str(child.pid)]
            subprocess.run(command, capture_output=True, check=False)
        else:
            with contextlib.suppress(ProcessLookupError):
                if os.getpgid(child.pid) == child.pid:
                    os.killpg(child.pid, signal.SIGKILL)
                else:
                    child.kill()
    child.wait()


def run(
    module: str,
    *arguments: str,
    limit: float,
    given: bytes = b"",
    home: Path | None = None,
    heads_group: bool = False,
    watch: Callable[[float], None] | None = None,
) -> bytes:
    """What a child writes to its standard output; `given` is its standard input.

    `watch` is called twenty times a second with the seconds that have passed; the child is
    ended if it raises. Raises ChildFailed, and TookTooLong after `limit` seconds.
    """
    began = time.monotonic()
    begin = partial(start, module, *arguments, home=home, heads_group=heads_group)
    with _file_of(given) as source, begin(stdin=source, stderr=subprocess.PIPE) as child:
        try:
            while True:
                seconds = time.monotonic() - began
                if watch is not None:
                    watch(seconds)
                if seconds > limit:
                    raise TookTooLong
                with contextlib.suppress(subprocess.TimeoutExpired):
                    out, errors = child.communicate(timeout=_LOOK_EVERY)
                    break
        finally:
            end(child)
    if child.returncode != 0:
        raise ChildFailed(child.returncode, errors.decode("utf-8", "replace"))
    return out


def _file_of(given: bytes) -> IO[bytes]:
    """What a child is given; no pipe, since `communicate` forgets on its second call what it
    has not sent yet."""
    from tempfile import TemporaryFile  # slow to import

    try:
        file = TemporaryFile()
        file.write(given)
        file.seek(0)
    except OSError as fault:
        raise NoRoom("there is no place for what is worked on", fault) from None
    return file


def _environment(home: Path | None) -> dict[str, str]:
    """This program's surroundings, and its modules even if the child begins elsewhere."""
    names = ("HOME", "USERPROFILE", "APPDATA", "TMPDIR", "TEMP", "TMP") if home else ()
    path = os.pathsep.join(entry or os.getcwd() for entry in sys.path)
    homes = dict.fromkeys(names, str(home))
    return {**os.environ, **homes, "PYTHONPATH": path, "PYTHONSAFEPATH": "1"}
