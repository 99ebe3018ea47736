"""A function called in a child process: `call(function, …)` gives what it returns.

For work that would hold up the sound and the keys, and that a player must be able to stop.
The function is a public one of a module, what it is given and returns can be pickled.
"""

from __future__ import annotations

import os
import pickle
import sys
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from companion.errors import CompanionError, RequestError
from companion.files import child_process

T = TypeVar("T")
P = ParamSpec("P")

_CHILD = "companion.files.child_call"
_LIMIT = 1800.0
"""Seconds after which nobody waits any more."""
_POLITENESS = 10
"""Steps of priority given up, as POSIX counts them."""


class Stopped(CompanionError):
    """The player stopped it."""


def call(
    function: Callable[P, T], is_stopped: Callable[[], bool], *given: P.args, **named: P.kwargs
) -> T:
    """What the function returns. `is_stopped` is asked twenty times a second.

    Raises CompanionError as the function raised it, or if the child broke off, and Stopped.
    """

    def watch(_: float) -> None:
        if is_stopped():
            raise Stopped("stopped; nothing was written")

    order = pickle.dumps((function, given, named))
    try:
        made = child_process.run(_CHILD, limit=_LIMIT, given=order, heads_group=True, watch=watch)
    except child_process.TookTooLong:
        raise CompanionError(f"that took over {_LIMIT / 60:g} minutes") from None
    except child_process.ChildFailed as fault:
        lines = str(fault).strip().splitlines() or ["it ended without a word"]
        raise CompanionError("the work broke off", next=lines[-1]) from fault
    result, problem = pickle.loads(made)
    if problem is not None:
        is_request, what, where, next_step = problem
        raise (RequestError if is_request else CompanionError)(what, where=where, next=next_step)
    return result  # type: ignore[no-any-return]


def _main() -> None:
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever else is printed goes to the errors
    child_process.end_with_parent()
    if sys.platform != "win32":
        os.nice(_POLITENESS)
    function, given, named = pickle.load(sys.stdin.buffer)
    result, problem = None, None
    try:
        result = function(*given, **named)
    except CompanionError as error:
        problem = (isinstance(error, RequestError), error.what, error.where, error.next)
    out.write(pickle.dumps((result, problem)))
    out.flush()


if __name__ == "__main__":
    _main()
