"""`python -m companion`, and the command `companion` itself.

Hardly anything is imported before `run` has begun: Ctrl+C there could only be answered by a
traceback.
"""

import os
import sys


def run() -> None:
    """One command line as a whole process, which ends at once, with 130 on Ctrl+C."""
    try:
        sys.unraisablehook = _told_by_nobody
        _run()
    except KeyboardInterrupt:
        os._exit(130)


def _run() -> None:
    """The command line, and an end at once.

    Taking an interpreter apart object by object takes as long as drawing a map. Whoever
    asked to be told of the end (atexit) is told, and threads still at work are waited for
    in the usual way.
    """
    import atexit
    import gc
    import threading
    from contextlib import suppress

    from companion.cli.main import main
    from companion.cli.output import write_in_any_encoding, write_without_control
    from companion.errors import CompanionError

    sys.stderr = sys.stderr or open(os.devnull, "w")
    if sys.stdout is None:
        sys.stderr.write("companion: there is nowhere to write to: the output is closed.\n")
        os._exit(1)
    write_in_any_encoding()
    write_without_control()
    # The matrices here are small: numpy's second thread waits in a loop and takes as much
    # processor time as the whole judgement of a take.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # What a command makes it needs to its end. Looking that through for garbage after every 700
    # new objects, as is usual, took a thirtieth of the time in which a quartet is mapped.
    gc.set_threshold(200_000)
    try:
        status = main()
    except Exception as error:  # noqa: BLE001 (the edge: no traceback reaches a person)
        status = _unforeseen(error)
    _end_on_interrupt()
    if threading.active_count() > 1:
        sys.exit(status)
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        with suppress(CompanionError, OSError):
            stream.flush()
    os._exit(status)


def _end_on_interrupt() -> None:
    """All is done but waiting for threads, where Ctrl+C would be answered by a traceback."""
    import signal

    signal.signal(signal.SIGINT, lambda *_: os._exit(130))


def _told_by_nobody(told: "sys.UnraisableHookArgs") -> None:
    """Ctrl+C can fall into a call that Python makes by itself, as when a module's lock is given
    back; it would be told with a traceback and forgotten."""
    if isinstance(told.exc_value, KeyboardInterrupt):
        os._exit(130)
    sys.__unraisablehook__(told)


def _unforeseen(error: Exception) -> int:
    """One sentence, and the details in a file."""
    from contextlib import suppress
    from datetime import datetime

    from companion.cli.main import folders_of_words
    from companion.errors import CompanionError
    from companion.files.fault_details import keep_fault_details

    place = None
    with suppress(CompanionError):
        place = keep_fault_details(folders_of_words(sys.argv[1:]).data, error, datetime.now())
    where = f" Details: {place}" if place else ""
    told = f"companion: an unforeseen fault ({type(error).__name__}).{where}"
    with suppress(CompanionError, OSError):
        sys.stderr.write(f"{told}\n")
    return 1


if __name__ == "__main__":
    run()
