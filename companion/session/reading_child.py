"""The child process that reads a score: `python -m companion.session.reading_child`.

Says what it does in lines of JSON on standard output, which nothing else may write to:
`{"step": …}` as often as it likes, then `{"digest": …}` once the score lies ready, or
`{"what": …, "where": …, "next": …}` where it cannot be read.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

from companion.errors import CompanionError
from companion.score import cache
from companion.score.readers.opening import read_score

POLITENESS = 10
"""Steps of priority given up, as POSIX counts them: half of all there are."""


def main(path: Path, cache_folder: Path, spare: Path) -> None:
    """Read the score at `path` into the cache, or into `spare` where the cache does not keep it."""
    say = _speaker()
    _give_way()
    try:
        opened = read_score(path, cache_folder, progress=lambda step: say(step=step))
    except CompanionError as problem:
        say(what=problem.what, where=problem.where, next=problem.next)
        return
    if cache.load(cache_folder, opened.digest) is None:
        cache.keep(spare, opened.digest, opened.score)
    say(digest=opened.digest)


def _give_way() -> None:
    """Let a click that plays have the processor first. Windows is told by the parent."""
    if sys.platform != "win32":
        os.nice(POLITENESS)


def _speaker() -> Callable[..., None]:
    """Writes lines to what was standard output; whatever else is printed goes to the errors."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)

    def say(**line: str) -> None:
        print(json.dumps(line), file=out, flush=True)

    return say


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:]))
