"""`python -m companion`, and the command `companion` itself."""

import atexit
import os
import sys
import threading
from typing import NoReturn

from companion.cli.main import main


def run() -> NoReturn:
    """One command line as a whole process, which ends at once.

    Taking an interpreter apart object by object takes as long as drawing a map. Whoever
    asked to be told of the end (atexit) is told, and threads still at work are waited for
    in the usual way.
    """
    status = main()
    if threading.active_count() > 1:
        sys.exit(status)
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        stream.flush()
    os._exit(status)


if __name__ == "__main__":
    run()
