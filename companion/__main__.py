"""`python -m companion`, and the command `companion` itself."""

import atexit
import gc
import os
import sys
import threading
from contextlib import suppress
from typing import NoReturn

from companion.cli.main import main
from companion.cli.output import write_in_any_encoding, write_without_control
from companion.errors import CompanionError


def run() -> NoReturn:
    """One command line as a whole process, which ends at once.

    Taking an interpreter apart object by object takes as long as drawing a map. Whoever
    asked to be told of the end (atexit) is told, and threads still at work are waited for
    in the usual way.
    """
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
    if threading.active_count() > 1:
        sys.exit(status)
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    os._exit(status)


def _unforeseen(error: Exception) -> int:
    """One sentence, and the details in a file."""
    from datetime import datetime

    from companion.files.fault_details import keep_fault_details
    from companion.files.folders import folders

    place = None
    with suppress(CompanionError):
        place = keep_fault_details(folders().data, error, datetime.now())
    where = f" Details: {place}" if place else ""
    told = f"companion: an unforeseen fault ({type(error).__name__}).{where}"
    with suppress(OSError):
        sys.stderr.write(f"{told}\n")
    return 1


if __name__ == "__main__":
    run()
